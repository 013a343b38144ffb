"""One module per group of items: a mapping node becomes the frozen dataclass of the model.

Every function notes all problems in the ``Gather`` it is given and returns the item; names of
other items are noted as references, to be looked up once the whole folder has been read.
"""
