"""An entry of several prompts at the terminal, stepped back from in the middle."""

from __future__ import annotations

import pytest

from diagnose.cli.job.talk import Again, Talk


def test_back_inside_an_entry_takes_nothing_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """'back' at the second prompt begins the entry anew; what stood before it stays."""
    taken: list[str] = []
    talk = Talk({"back": taken.append})
    monkeypatch.setattr(talk, "line", lambda _: "back")
    with pytest.raises(Again), talk.half_typed():
        talk.ask("as left:", str, own_words=True)
    assert not taken


def test_back_after_the_entry_is_the_command_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once the entry is whole, 'back' takes back what was kept last."""
    taken: list[str] = []
    talk = Talk({"back": taken.append})
    with talk.half_typed():
        pass
    typed = iter(["back", "dry"])
    monkeypatch.setattr(talk, "line", lambda _: next(typed))
    assert talk.ask("answer:", str) == "dry"
    assert taken == [""]
