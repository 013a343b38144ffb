"""The empty file that a new aeroplane starts from, to be filled in from its papers."""

from __future__ import annotations

from diagnose.model import Layout

_SKELETON = """\
# The file of one aeroplane over layout '{layout}'. Every figure is typed from its own papers; what
# is not known is left out. Lines that begin with '#' are examples: take the '#' away and fill in.
aeroplane: {registration}
layout: {layout}
layout-edition: {edition}    # of the layout this was written on; a change is warned of
invented: no                 # yes only for demonstrations
# serial: "..."
# hours: 1234 h
# last-good-run: 2026-01-31  # work from this day on lifts the odds of what such work can leave
# approved-data:
#   - {{document: maintenance manual, revision: "7", date: 2025-03-01}}
# limits:                    # replaces the layout's; one not given has no approved figure
#   fuel-pressure: {{low: 14 psi, high: 18 psi, document: maintenance manual, revision: "7",
#     date: 2025-03-01, page: 28-12}}
# modifications:
#   - {{modification: "M12", title: "...", embodied: yes, on: 2020-05-01, reference: "..."}}
# fitted:
#   - {{at: {part}, number: "...", serial: "...", on: 2026-01-20, from: stores, hours: 0 h,
#      overhaul-at: 500 h, overhaul-due: 2031-01-20, shelf-until: 2027-01-20, reference: "..."}}
# work:
#   - {{work: "...", at: {part}, on: 2026-01-20, reference: log page 12}}
# cards:                     # what a gauge or stick shows, and what is true then
#   - {{at: {gauge}, on: 2026-01-20, due: 2027-01-20, reference: "card 3",
#      points: [{{shows: {one}, true: {two}}}]}}
# quirks:
#   - {{quirk: "...", at: {part}}}
# deferred:                  # open defects as the papers list them; the tool decides nothing
#   - {{defect: "D1", what: "...", cause: CAUSE-ID, at: PART-ID, since: 2026-01-20,
#      until: 2026-02-20, limit: "...", reference: "...", known-by: seen}}
# uplifts:
#   - {{on: 2026-01-20, source: "bowser 1", batch: "...", amount: 200 l, tanks: [{tank}]}}
"""


def skeleton(registration: str, layout: Layout) -> str:
    """Return the empty file of a new aeroplane, its examples naming parts of the layout."""
    kinds = {p.kind: p.id for p in reversed(list(layout.parts.values()))}
    gauge = kinds.get("pressure-gauge")
    return _SKELETON.format(
        registration=registration,
        layout=layout.id,
        edition=layout.edition,
        part=kinds.get("strainer") or kinds["engine"],
        gauge=gauge or kinds.get("dip-stick", "PART-ID"),
        one="10 psi" if gauge else "10 l",
        two="10.4 psi" if gauge else "10.2 l",
        tank=kinds["tank"],
    )
