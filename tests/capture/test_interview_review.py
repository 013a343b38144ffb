"""Drafts and their review: what is accepted fires and leads back; nothing else enters."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest
from capture.capture_kit import TALK, drafted, interview, knowledge, review
from session_kit import LEFT_OUT, run

from diagnose.capture.folder import read_folder
from diagnose.capture.record import Interview, folder
from diagnose.errors import KnowledgeError, UsageError
from diagnose.knowledge_files import find_knowledge, load_library

CAUSE = "causes/filters/strainer-plugged"
RULE = "symptoms/fades-and-sags"
NOT_NOW = ["l", "l", "l", "l"]


def ready(tmp_path: Path, typed: list[str] | None = None) -> tuple[Path, str, Path, Path]:
    """Return knowledge, interview, drafts and the folder for what is accepted."""
    root = knowledge(tmp_path)
    name = interview(root, typed)
    return root, name, drafted(root, name, tmp_path), tmp_path / "own" / "knowledge"


def verdicts(name: str) -> dict[str, str]:
    """Return the verdict on each draft."""
    return {k: v["verdict"] for k, v in Interview.find(folder(), name).verdicts().items()}


def test_a_talk_ends_in_a_rule_that_fires_and_leads_back_to_who_said_it(tmp_path: Path) -> None:
    """From the consent to ``why``: file and line, interview and entry, role and initials."""
    root, name, drafts, into = ready(tmp_path)
    result = review(root, name, drafts, into, "KL", *["a", "", ""] * 3, "a", "")
    assert set(verdicts(name).values()) == {"accepted"}, result.output
    assert run("--knowledge", str(into), "lint").exit_code == 0
    case = str(next((drafts / "cases").iterdir()))
    ranked = json.loads(run("--knowledge", str(into), "rank", case, "--json").stdout)
    fired = {s["symptom"]: s for s in ranked["symptoms"] if s["verdict"] == "true"}
    assert fired["fades-and-sags"]["rule"].startswith("knowledge/symptoms/fades-and-sags.yaml:1")
    why = run("--knowledge", str(into), "why", case, "strainer-plugged@strainer").stdout
    assert f"said in interview-{name} (JK), entry 27, JK 12 of 20 (8 to 14, 80 % sure)" in why
    assert "knowledge/causes/filters/strainer-plugged.yaml:9:5" in why
    assert "rules point to it: Fades and sags" in why
    rule = run("--knowledge", str(into), "why", case, "fades-and-sags").stdout
    assert f"status draft; sources: interview-{name} (JK), entries 30" in rule
    assert "ground engineer, retired JK, 41 years" in rule


def test_the_accepted_knowledge_works_a_job(tmp_path: Path) -> None:
    """A job on the folder hears the new word of the trade and shows the new rule."""
    root, name, drafts, into = ready(tmp_path)
    review(root, name, drafts, into, "KL", *["a", "", ""] * 3, "a", "")
    report = "Engine gave up at take-off. Fuel pressure low on the run-up, booster off."
    shown = run("--knowledge", str(into), "job", "new", "--layout", "tiny-single", "--report",
                report, typed=["all", *LEFT_OUT, "ranking"]).stdout  # fmt: skip
    assert "'gave up': how the engine behaves, engine: faded [take-off]" in shown
    assert "main strainer element plugged" in shown


def test_the_expert_does_not_review_himself(tmp_path: Path) -> None:
    """His initials are refused, in any case of letters, and nothing is written."""
    root, name, drafts, into = ready(tmp_path)
    result = review(root, name, drafts, into, "jk", "k")
    assert "JK gave the interview; another person is needed here." in result.stdout
    assert "'k' are no initials" in result.stdout
    assert "=== draft" not in result.stdout
    assert not into.exists()
    assert not verdicts(name)


def test_the_case_told_stands_among_the_cases_as_what_it_is(tmp_path: Path) -> None:
    """Cases beside the folder get it, and the list calls it told, not published."""
    root, name, drafts, _ = ready(tmp_path)
    into = tmp_path / "mine"
    review(root, name, drafts, into, "KL", "l", "l", "l", "a", "")
    case = f"interview-{name}-case"
    assert (tmp_path / "cases" / "interviews" / f"{case}.yaml").is_file()
    shown = run(
        "--knowledge", str(into), "cases", "list", "--cases", str(tmp_path / "cases")
    ).stdout
    assert f"{case}  [told in an interview; tiny-single]  strainer-plugged@strainer" in shown


def test_what_is_sent_back_or_refused_never_enters(tmp_path: Path) -> None:
    """Both need a reason; only the accepted word is in the folder."""
    root, name, drafts, into = ready(tmp_path)
    result = review(root, name, drafts, into, "KL", "s", "no", "the counts are of one type only",
                    "r", "this is not what pumps do", "l", "a", "")  # fmt: skip
    assert "say in a sentence why" in result.stdout
    assert verdicts(name) == {
        CAUSE: "sent-back",
        "causes/pump/engine-pump-worn": "refused",
        "words/gave-up": "accepted",
    }
    before, after = load_library(root), load_library(into)
    assert after.causes == {k: _moved(v, before.causes[k]) for k, v in after.causes.items()}
    assert set(after.symptoms) == set(before.symptoms)
    assert {w.word for w in after.words.trade} - {w.word for w in before.words.trade} == {"gave up"}


def _moved(after: object, before: object) -> object:
    return after if after == before else before


def test_what_was_sent_back_is_told_to_whoever_takes_the_interview_up(tmp_path: Path) -> None:
    """The reason is what he is to be asked about; and the reviewer is told what comes next."""
    root, name, drafts, into = ready(tmp_path)
    many = len(read_folder(drafts).drafts)
    typed = ["s", "He means the other strainer.", *["l"] * (many - 1)]
    assert f"interview resume {name}" in review(root, name, drafts, into, "KL", *typed).stdout
    resume = ("--knowledge", str(root), "interview", "resume", name)
    assert "He means the other strainer." in run(*resume, typed=["pause"]).stdout


def test_a_draft_that_breaks_lint_is_shown_and_not_written(tmp_path: Path) -> None:
    """Mended by hand into a row no layout reaches, it is refused at its own line."""
    root, name, drafts, into = ready(tmp_path)
    file = drafts / f"{CAUSE}.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("rectify: Clean the element by the approved data.\n", ""))
    result = review(root, name, drafts, into, "KL", "a", *NOT_NOW)
    assert f"{file}:1:1: TEXT-01" in result.stdout or "TEXT-0" in result.stdout
    assert "The knowledge now, of what it is about:" in result.stdout
    assert "pointed to by: the booster brings the pressure back" in result.stdout
    assert "it cannot be accepted: lint finds what was not there before" in result.stdout
    assert CAUSE not in verdicts(name)
    assert not into.exists()


def test_a_reviewer_may_say_in_other_words_what_lint_will_not_have(tmp_path: Path) -> None:
    """No file is opened by hand, and the record keeps whose words they are."""
    talk = list(TALK)
    talk[talk.index("Let it cool first.")] = "Crack the union with the engine running."
    talk.insert(talk.index("Crack the union with the engine running.") + 1, "")
    root, name, drafts, into = ready(tmp_path, talk)
    rule = next(d for d in read_folder(drafts).drafts if d.kind == "rule")
    before = ["l"] * [d.id for d in read_folder(drafts).drafts].index(rule.id)
    typed = ["accept", "reword", "warns", "taste it", "Let it cool first.", "accept", "", ""]
    shown = " ".join(
        review(root, name, drafts, into, "KL", *before, *typed, "pause").stdout.split()
    )
    assert "SAFE-09" in shown
    assert "it cannot be accepted" in shown
    assert "Nobody may be told to do that: fuel is taken by mouth" in shown
    text = (into / f"{rule.id}.yaml").read_text(encoding="utf-8")
    assert "warns: Let it cool first." in text
    assert "# warns: in the words of KL" in text
    (event,) = [e for e in Interview.find(folder(), name).log.events if e["event"] == "reworded"]
    assert event["before"] == "Crack the union with the engine running."


def test_what_cannot_be_loaded_is_told_at_the_line_of_the_draft(tmp_path: Path) -> None:
    """The loader's words, with the draft's file, line and column."""
    root, name, drafts, into = ready(tmp_path)
    file = drafts / f"{CAUSE}.yaml"
    lines = file.read_text(encoding="utf-8").splitlines()
    at = next(k for k, line in enumerate(lines) if "is: fades" in line)
    lines[at] = lines[at].replace("is: fades", "is: fads")
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    result = review(root, name, drafts, into, "KL", *NOT_NOW)
    assert f"{file}:{at + 1}:" in result.stdout
    assert "did you mean 'fades'?" in result.stdout
    word = drafts / "words" / "gave-up.yaml"
    word.write_text(word.read_text(encoding="utf-8").replace("value: fades", "value: fads"))
    assert f"{word}:1:" in review(root, name, drafts, into, "KL", *NOT_NOW).stdout


def test_a_mended_draft_is_reviewed_again_and_an_accepted_one_is_not(tmp_path: Path) -> None:
    """A verdict holds for the text it was given on."""
    root, name, drafts, into = ready(tmp_path)
    review(root, name, drafts, into, "KL", "s", "too sure of itself, I think", "l", "l", "l")
    assert f"1 of 3: {RULE}" not in review(root, name, drafts, into, "KL", *NOT_NOW).stdout
    file = drafts / f"{CAUSE}.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("how-often: .70", "how-often: .60"))
    stands = f"{CAUSE}: not decided as it stands; sent-back in another wording"
    assert stands in review(root, name, drafts, into, "KL", *NOT_NOW).stdout
    shown = review(root, name, drafts, into, "KL", "a", "", "", *NOT_NOW).stdout
    assert f"=== draft 1 of 4: {CAUSE}.yaml" in shown
    assert "Before: sent-back by KL. too sure of itself, I think" in shown
    assert verdicts(name)[CAUSE] == "accepted"
    assert f"{CAUSE}.yaml, changed" not in review(root, name, drafts, into, "KL", *NOT_NOW).stdout


def test_a_draft_made_on_other_knowledge_does_not_undo_it(tmp_path: Path) -> None:
    """A file that changed since the draft was made is not written over."""
    root, name, drafts, into = ready(tmp_path)
    shutil.copytree(root, into)
    file = into / f"{CAUSE}.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("common\n", "uncommon\n", 1))
    result = review(root, name, drafts, into, "KL", "a", *NOT_NOW)
    assert "has changed since the draft was made" in result.stdout
    assert "uncommon" in file.read_text(encoding="utf-8")


def test_an_accepted_draft_is_offered_again_for_another_folder(tmp_path: Path) -> None:
    """What was accepted into one folder can be accepted into a second."""
    root, name, drafts, into = ready(tmp_path)
    review(root, name, drafts, into, "KL", "l", "l", "l", "a", "")
    again = review(root, name, drafts, tmp_path / "second", "KL", "l", "l", "l", "a", "").stdout
    assert "draft 4 of 4: words/gave-up.yaml" in again
    assert "gave up" in (tmp_path / "second" / "words.yaml").read_text(encoding="utf-8")


def test_a_kill_while_writing_leaves_knowledge_that_can_be_loaded(tmp_path: Path) -> None:
    """Cut off after any file, the folder loads, and the same review goes on."""
    root, name, drafts, into = ready(tmp_path)
    real = os.replace

    def dies(source: Path, target: Path) -> None:
        real(source, target)
        if Path(target).parent == into:
            raise KeyboardInterrupt

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "replace", dies)
        review(root, name, drafts, into, "KL", "a", "", "")
    assert set(load_library(into, use_cache=False).sources) > set(load_library(root).sources)
    assert CAUSE not in verdicts(name)
    review(root, name, drafts, into, "KL", "a", "", "", *NOT_NOW)
    assert verdicts(name)[CAUSE] == "accepted"


def test_a_licensed_review_is_recorded_and_only_then_is_it_no_draft(tmp_path: Path) -> None:
    """A rule reviewed under a licence says by whom; a changed cause stays a draft as a whole."""
    root, name, drafts, into = ready(tmp_path)
    result = review(root, name, drafts, into, "KL", "a", "", "LIC 1", "l", "a", "", "LIC 1", "l")
    assert "was not reviewed with it" in result.stdout
    library = load_library(into)
    assert library.symptoms["fades-and-sags"].status.startswith("reviewed by KL on 2")
    assert library.causes["strainer-plugged"].status == "draft"


@pytest.mark.parametrize("typed", [["none"], ["no"], ["yes", ""], ["a licence", ""]])
def test_no_licence_in_words_makes_a_draft_reviewed(tmp_path: Path, typed: list[str]) -> None:
    """'None' is none, and a licence without a number is asked for again."""
    root, name, drafts, into = ready(tmp_path)
    review(root, name, drafts, into, "KL", "a", "", "", "l", "a", "", *typed, "l")
    assert not any(s.status.startswith("reviewed") for s in load_library(into).symptoms.values())


@pytest.mark.parametrize("where", ["shipped", "inside", "other"])
def test_accepted_drafts_go_into_a_folder_of_ones_own(tmp_path: Path, where: str) -> None:
    """Never into the shipped knowledge, nor into a knowledge folder, nor among other files."""
    root, name, drafts, _ = ready(tmp_path)
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("mine")
    into = {"shipped": find_knowledge(), "inside": root / "mine", "other": other}[where]
    result = review(root, name, drafts, into, "KL", *NOT_NOW)
    assert isinstance(result.exception, UsageError)
    assert str(into) in str(result.exception)


def test_drafts_are_not_written_over_what_was_mended(tmp_path: Path) -> None:
    """A folder that holds anything is refused."""
    root, name, drafts, _ = ready(tmp_path)
    result = run("--knowledge", str(root), "interview", "draft", name, "--out", str(drafts))
    assert isinstance(result.exception, UsageError)


def test_a_broken_list_of_drafts_is_told_with_its_line(tmp_path: Path) -> None:
    """A draft that is not there, or leads out of the folder, is one line with its place."""
    _, _, drafts, _ = ready(tmp_path)
    (drafts / f"{RULE}.yaml").unlink()
    text = (drafts / "drafts.yaml").read_text(encoding="utf-8")
    (drafts / "drafts.yaml").write_text(text.replace("words/gave-up", "../gave-up"))
    with pytest.raises(KnowledgeError) as caught:
        read_folder(drafts)
    said = [str(p) for p in caught.value.problems]
    assert len(said) == 2
    assert all(line.startswith("drafts/drafts.yaml:") for line in said)


NEW_CAUSE = [
    *["swollen felt", "new", "main strainer", "felt element swollen", "filters", "4", "1"],
    "Felt washed in the wrong solvent swells and passes little.",
    *["1", "1", "strainer", "1", "A plugged element is dirty; felt is clean and thick."],
    *["Renew the element.", "What was it washed in?", "The elements washed with it."],
    *["skip step"] * 4,
    *["14 19 17 80", "90 110 100 90", "12 18 16 80", "skip step", "skip step", "1"],
]
"""From 'what was it in the end' on: a failure the knowledge does not have."""


def test_a_new_failure_is_drafted_whole_and_needs_its_proof(tmp_path: Path) -> None:
    """Named, placed, told from its like, with a check and counts; its own case fires it.

    Without a case that it stays silent on it is shown and not written; with one it is accepted.
    """
    typed = [*TALK[: TALK.index("strainer")], *NEW_CAUSE]
    root, name, drafts, into = ready(tmp_path, typed)
    file = drafts / "causes" / "filters" / "felt-element-swollen.yaml"
    text = file.read_text(encoding="utf-8")
    assert f"fires-on: [interview-{name}-case]" in text
    assert "rectify-hazards: [open-fuel-part" in text, "how it is opened he does not say"
    shown = review(root, name, drafts, into, "KL", "a", "l").stdout
    assert "CAUSE-04 no case of another cause leaves it silent" in shown
    assert not into.exists()
    file.write_text(text.replace("silent-on: []", "silent-on: [tiny-1]"), encoding="utf-8")
    review(root, name, drafts, into, "KL", "a", "", "")
    told = into.parent / "cases" / "interviews" / f"interview-{name}-case.yaml"
    assert told.is_file(), "a new folder of one's own has what proves it"
    cause = load_library(into).causes["felt-element-swollen"]
    assert cause.provenance is not None
    assert (cause.provenance.said_by, cause.provenance.how) == (
        "ground engineer, retired JK, 41 years",
        "interview",
    )
    assert [row.how_often["half"] for row in cause.own_rows] == [0.85, 0.80]
    case = str(next((drafts / "cases").iterdir()))
    why = run("--knowledge", str(into), "why", case, "felt-element-swollen@strainer").stdout
    assert "said by: ground engineer, retired JK, 41 years" in why
    assert f"interview-{name} (JK), entry" in why
