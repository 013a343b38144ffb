"""Measured tests: fixed fields, corrections, the instrument's error in belief, kit out of date."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path

import pytest
from aeroplane.own_kit import CARD, HEAD, own_bench
from diagnosis.shipped import bench, library

from diagnose.errors import UsageError
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.job.measured.exchange import keep_exchange, refused
from diagnose.job.measured.fields import FORMS, fill
from diagnose.job.measured.proofs import keep, work_out
from diagnose.job.measured.trial import Trial
from diagnose.knowledge_files.cutting import chances
from diagnose.model import CauseAt, Finding, State
from diagnose.units import parse

FOUR = "four-engine-injection"
TODAY = date(2026, 11, 25)
KIT = {"kit": "K-1", "due": "2027-01-01"}
MASTER = {
    **KIT,
    "state": "run-up-booster-off",
    "reads": "12 psi",
    "range": "30 psi",
    "error": "0.4 psi",
    "height": "0 m",
}


def made(kind: str, at: str, **fields: str) -> Trial:
    """Return a test worked out on the four-engined layout."""
    typed = {k.replace("_", "-"): v for k, v in fields.items()}
    return work_out(bench(FOUR), fill(kind, typed), at, TODAY)


def master(**fields: str) -> Trial:
    """Return a master-gauge test of no. 2 engine."""
    return made("master-gauge", "no2-engine", **(MASTER | fields))


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return a job just opened on the four-engined layout."""
    return Job.open(Registry(tmp_path), bench(FOUR), "2026-11-25", "No. 2 low at run-up.")


# ---------------------------------------------------------------------- forms


def test_everything_wrong_with_a_form_is_told_at_once() -> None:
    """Unknown field, missing field, bare gallon and wrong unit, a line each."""
    with pytest.raises(UsageError) as caught:
        fill("timed-delivery", {"volume": "5 gal", "time": "9 psi", "tme": "1 s", **KIT})
    lines = str(caught.value).splitlines()
    assert len(lines) == 5
    assert "'tme' is not a field; did you mean 'time'?" in lines[0]
    assert any("which gallon" in x for x in lines)


@pytest.mark.parametrize("kind", FORMS)
def test_cautions_of_every_form_exist_in_the_knowledge(kind: str) -> None:
    """A form shows cautions first, and each of them has its text."""
    assert FORMS[kind].hazards
    assert set(FORMS[kind].hazards) <= set(library().hazards)


# ---------------------------------------------------------------------- what the figures say


@pytest.mark.parametrize(("height", "more"), [("1 m", 1.0241), ("-0.5 m", -0.512), ("0 m", 0.0)])
def test_the_height_of_the_gauge_is_counted(height: str, more: float) -> None:
    """Above the tapping it reads low by the column: 720 kg/m3 x 9.80665 m/s2 a metre."""
    number = master(height=height).found[0].number
    assert number is not None
    assert number == pytest.approx(parse(f"{12 + more} psi").value_si, rel=1e-4)


def test_a_reading_beyond_the_range_is_refused() -> None:
    """A gauge past its scale says nothing."""
    with pytest.raises(UsageError, match="beyond its range"):
        master(reads="31 psi")


@pytest.mark.outside
def test_chances_are_those_of_the_normal_distribution() -> None:
    """One sigma under a limit is 84.13 %, two 97.72 % (standard normal tables)."""
    q, layout = library().questions["test-gauge-pressure"], bench(FOUR).layout
    low = layout.limits["fuel-pressure"].low
    assert low is not None
    for sigmas, share in ((1.0, 0.8413), (2.0, 0.9772)):
        got = dict(chances(q, layout, low - sigmas * 500.0, 500.0))
        assert got["low"] == pytest.approx(share, abs=5e-5)
        assert sum(got.values()) == pytest.approx(1.0)


def test_a_figure_far_from_its_limit_has_one_class_and_on_it_two() -> None:
    """12 psi against 13.5 is low; 13.5 within 0.4 is as likely low as in the band."""
    assert master().found[0].chances == (("low", 1.0),)
    even = dict(master(reads="13.5 psi").found[0].chances)
    assert even["low"] == pytest.approx(0.5)
    assert even["normal"] == pytest.approx(0.5)


def test_the_instruments_error_reaches_the_belief(job: Job) -> None:
    """Well below the limit it points, well above it clears, and on the limit it says nothing."""

    def odds(reads: str) -> float:
        keep(job, master(reads=reads))
        posterior = job.step().posterior
        job.step_back()
        one = posterior.causes.index(CauseAt("strainer-plugged", "no2-strainer"))
        other = posterior.causes.index(CauseAt("strainer-plugged", "no3-strainer"))
        return float(posterior.single[one] / posterior.single[other])

    well, edge, sound = odds("11 psi"), odds("13.5 psi"), odds("16 psi")
    assert sound < edge < well / 1.5
    assert edge == pytest.approx(1.0, abs=0.1)


def test_open_classes_weigh_as_the_mean_of_their_classes() -> None:
    """Half low, half normal: the likelihood is half of each."""

    def evidence(*shares: tuple[str, float]) -> float:
        state = State("run-up", {"booster": "off", "crossfeed": "shut"})
        f = Finding("test-gauge-pressure", "no2-engine", shares[0][0], state, "measured",
                    chances=shares if len(shares) > 1 else ())  # fmt: skip
        return math.exp(Diagnosis(bench(FOUR), engine=False).see([f]).posterior.evidence)

    both = evidence(("low", 0.5), ("normal", 0.5))
    mean = 0.5 * evidence(("low", 1.0)) + 0.5 * evidence(("normal", 1.0))
    assert both == pytest.approx(mean, rel=2e-3)  # which causes are paired differs a little


def test_kit_out_of_date_is_marked_and_counts_less(job: Job) -> None:
    """Its error counts twice, it is 'read' not 'measured', and the record says so."""
    late = master(reads="13.2 psi", due="2026-11-24")
    good = master(reads="13.2 psi")
    assert late.out_of_date
    assert not good.out_of_date
    assert "KIT OUT OF DATE" in late.lines[0]
    assert dict(late.found[0].chances)["low"] < dict(good.found[0].chances)["low"]
    keep(job, late)
    assert job.findings[-1].known_by == "read"
    assert job.log.events[-2]["out_of_date"] is True


def test_the_cockpit_gauge_is_judged_only_with_a_tolerance_and_by_its_card() -> None:
    """Without a tolerance it is kept; what its own card tells is no fault."""
    assert len(master(cockpit="11 psi").found) == 1
    off = master(cockpit="10 psi", cockpit_error="0.5 psi")
    assert off.found[1].check
    assert off.found[1].chances[0][0] == "reads-low"
    carded = own_bench(HEAD + CARD)  # 13 shown is 14.5 true on no. 2
    fields = MASTER | {"reads": "14.5 psi", "cockpit": "13 psi", "cockpit-error": "0.5 psi"}
    proof = work_out(carded, fill("master-gauge", fields), "no2-engine", TODAY)
    assert proof.found[1].chances[0][0] == "agrees"


def test_a_timed_delivery_is_volume_over_time_against_the_limit() -> None:
    """5 imp gal in 2 min are 150 imp gal/h: the full figure, sure by the errors stated."""
    fields = {"volume_error": "0.1 imp gal", "time_error": "1 s", **KIT}
    full = made("timed-delivery", "no2-engine", volume="5 imp gal", time="2 min", **fields)
    assert full.found[0].number == pytest.approx(parse("150 imp gal/h").value_si)
    assert full.found[0].chances[0][0] == "full"
    weak = made("timed-delivery", "no2-engine", volume="5 imp gal", time="3 min", **fields)
    assert weak.found[0].chances[0] == ("weak", 1.0)


JAR = {
    "depth": "0.3048 m",
    "settled": "15 min",
    "sample": "1 l",
    "water": "0 ml",
    "solids": "none",
    "line-seen": "no",
    "colour": "right",
}


@pytest.mark.parametrize(
    ("change", "value"),
    [
        ({}, "clean"),
        ({"water": "5 ml"}, "water"),
        ({"line-seen": "yes"}, "water"),
        ({"solids": "slime"}, "dirt"),
        ({"colour": "wrong"}, "turbine-fuel"),
        ({"settled": "14 min", "water": "5 ml"}, "water"),
    ],
)
def test_a_settled_jar_has_its_class(change: dict[str, str], value: str) -> None:
    """Water beats solids; a foot of depth needs a quarter of an hour to be called clean."""
    proof = work_out(bench(FOUR), fill("jar-and-settle", JAR | change), "port-inner-tank", TODAY)
    assert proof.found[0].chances == ((value, 1.0),)


@pytest.mark.parametrize("change", [{"settled": "14 min"}, {"colour": "not-sure"}])
def test_an_unsettled_or_doubtful_jar_is_not_called_clean(change: dict[str, str]) -> None:
    """It is kept and concludes nothing."""
    proof = work_out(bench(FOUR), fill("jar-and-settle", JAR | change), "port-inner-tank", TODAY)
    assert proof.found == []


LEAK = {
    **KIT,
    "medium": "fuel",
    "start": "10 psi",
    "end": "9 psi",
    "time": "10 min",
    "most": "15 psi",
    "reference": "invented data, revision 1",
    "error": "0.1 psi",
}


def test_pressure_above_the_approved_most_is_refused() -> None:
    """What may burst something is not written down as a test."""
    with pytest.raises(UsageError, match="above the most"):
        work_out(bench(FOUR), fill("leak-down", LEAK | {"start": "16 psi"}), "no2-hose", TODAY)


def test_a_drop_is_judged_only_against_a_figure_with_its_reference() -> None:
    """Without an allowed drop it is kept; beyond it, it is said how sure that is."""
    kept = work_out(bench(FOUR), fill("leak-down", LEAK), "no2-hose", TODAY)
    assert "no approved figure entered" in kept.says
    judged = fill("leak-down", LEAK | {"allowed-drop": "0.5 psi"})
    assert "BEYOND 0.5 psi" in work_out(bench(FOUR), judged, "no2-hose", TODAY).says


def test_air_that_only_cooled_has_not_leaked() -> None:
    """Gay-Lussac: the drop of a closed volume of air from 20 to 10 degC is no loss."""
    outside = parse("14.7 psia").value_si
    start = parse("10 psi").value_si
    end = (start + outside) * 283.15 / 293.15 - outside
    air = {
        "medium": "air",
        "end": f"{end} Pa",
        "start-temperature": "20 degC",
        "end-temperature": "10 degC",
        "outside": "14.7 psia",
        "allowed-drop": "0.1 psi",
    }
    says = work_out(bench(FOUR), fill("leak-down", LEAK | air), "no2-hose", TODAY).says
    assert "within 0.1 psi" in says
    assert "drop of 0 psi" in says or "e-" in says


@pytest.mark.parametrize(
    ("amps", "value"), [("0 A", "none"), ("2 A", "low"), ("4 A", "normal"), ("7 A", "high")]
)
def test_currents_are_compared_pump_with_pump(amps: str, value: str) -> None:
    """No approved figure is needed; the neighbour is one of its own kind."""
    fields = {"amps": amps, "neighbour_amps": "4 A", "error": "0.1 A", **KIT}
    proof = made("ammeter", "port-inner-booster", neighbour="starboard-inner-booster", **fields)
    assert proof.found[0].chances[0][0] == value
    with pytest.raises(UsageError, match="another pump"):
        made("ammeter", "port-inner-booster", neighbour="no2-strainer", **fields)


INSULATION = {
    **KIT,
    "gas_free_by": "A. N.",
    "gas_free_on": "2026-11-25",
    "lower_limit": "0 %",
    "between": "core to earth",
    "test_voltage": "250 V",
    "reads": "20 Mohm",
    "error": "1 Mohm",
}


def test_insulation_is_measured_only_where_no_gas_was_measured() -> None:
    """Any share of the lower explosive limit refuses it; so does a missing measurement."""
    assert "20 Mohm" in made("insulation", "port-inner-booster", **INSULATION).says
    with pytest.raises(UsageError, match="NOT GAS-FREE"):
        made("insulation", "port-inner-booster", **(INSULATION | {"lower_limit": "1 %"}))
    left = {k: v for k, v in INSULATION.items() if k != "gas_free_by"}
    with pytest.raises(UsageError, match="gas-free-by"):
        made("insulation", "port-inner-booster", **left)


def test_a_test_is_kept_whole_with_what_it_disturbed_and_taken_back_whole(job: Job) -> None:
    """One group of entries; a log cut inside it is the log before it; one step back undoes it."""
    before = job.log.path.read_bytes()
    keep(job, master(cockpit="10 psi", cockpit_error="0.5 psi"))
    assert [e["event"] for e in job.log.events[-3:]] == ["tested", "answered", "checked"]
    assert [d.what for d in job.state.disturbed.values()] == ["tapping opened, master gauge fitted"]
    whole = job.log.path.read_bytes()
    for cut in (len(before) + 1, whole.rindex(b"\n", 0, -1) + 1, len(whole) - 1):
        job.log.path.write_bytes(whole[:cut])
        assert len(JobLog(job.log.path).events) == 1
    job.log.path.write_bytes(whole)
    job.step_back()
    assert job.findings == ()
    assert not job.state.disturbed


# ---------------------------------------------------------------------- exchanges


GAUGES = ("no2-pressure-gauge", "no3-pressure-gauge")


def seen(question: str, at: str, value: str) -> Finding:
    """Return something seen."""
    return Finding(question, at, value)


@pytest.mark.parametrize(
    ("findings", "pair", "why"),
    [
        ((), ("no2-strainer", "no3-strainer"), "could carry dirt"),
        ((), ("port-inner-booster", "starboard-inner-booster"), "could carry dirt"),
        ((seen("strainer-drain-sample", "no2-strainer", "water"),), GAUGES, "dirt or water"),
        ((seen("tank-drain-sample", "port-inner-tank", "dirt"),), GAUGES, "dirt or water"),
        ((seen("fuel-pressure", "no2-engine", "high"),), GAUGES, "truly be too high"),
        ((seen("fuel-pressure", "no1-engine", "high"),), GAUGES, ""),
        (
            (seen("burning-smell", "aeroplane", "burning"),),
            ("port-inner-gauge", "starboard-inner-gauge"),
            "smells burnt",
        ),
        ((seen("strainer-drain-sample", "no2-strainer", "clean"),), GAUGES, ""),
        ((), ("port-inner-gauge", "starboard-inner-gauge"), ""),
    ],
)
def test_exchanges_that_could_carry_dirt_or_damage_are_refused(
    findings: tuple[Finding, ...], pair: tuple[str, str], why: str
) -> None:
    """What carries fuel is never exchanged; gauges not while dirt, pressure or burning is about."""
    assert why in refused(bench(FOUR), findings, *pair)
    assert bool(why) == bool(refused(bench(FOUR), findings, *pair))


def test_an_exchange_is_kept_with_positions_and_serials(job: Job) -> None:
    """As found and as left stand in the check; a missing serial refuses it; belief follows."""
    with pytest.raises(UsageError, match="serial"):
        keep_exchange(job, *GAUGES, ("2231", ""), "follows", "back")
    keep_exchange(job, *GAUGES, ("2231", "2240"), "follows", "exchanged")
    last = job.log.events[-1]
    assert last["as_left"] == (
        "LEFT EXCHANGED: fuel pressure gauge of no. 2 engine (port inner): serial 2240; "
        "fuel pressure gauge of no. 3 engine (starboard inner): serial 2231"
    )
    ranking = [c for c, _ in job.step().posterior.ranking() if c.at != "aeroplane"]
    assert ranking[0].at == GAUGES[0]


def test_parts_of_other_numbers_are_not_exchanged() -> None:
    """The aeroplane's file says they are not the same part."""
    text = (
        "fitted:\n  - {at: no2-pressure-gauge, number: G-7, serial: '1'}\n"
        "  - {at: no3-pressure-gauge, number: G-8, serial: '2'}\n"
    )
    assert "not the same part" in refused(own_bench(HEAD + text), (), *GAUGES)
