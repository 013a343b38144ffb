"""``diagnose fuel contents``: gauge, stick and ledger against each other, and over flights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from diagnose.cli.fuel import page
from diagnose.cli.printing import items
from diagnose.fuel import contents as fc
from diagnose.fuel.asked.figures import number, with_unit
from diagnose.fuel.asked.setup import Shown
from diagnose.fuel.reconcile import Contents, Reading, Trend
from diagnose.grammar import capital
from diagnose.paper import svg
from diagnose.paper.words import model_notes
from diagnose.units import to

CERTIFIES = (
    "Worked out from the figures given. It certifies nothing; the aeroplane's approved data come "
    "first."
)
SIGMAS = (
    "spread of the figures (one standard deviation): float gauge 5 % of full scale with 10 % of "
    "the reading as two (SAE 670263, 1967 survey); stick 1 % of capacity and its "
    "divisions (common practice, no source); ledger 0.5 % of uplift (MIL-HDBK-1022A meter) and "
    "3 % of burn (common practice, no source)"
)
FALSE_ALARM = (
    f"trend: cumulative sum of (stick - ledger), slack {fc.SLACK:g} and limit {fc.LIMIT:g} "
    "standard deviations; a false alarm in about 1.5 % of runs of 20 flights"
)
LEVEL = "stick and gauge read in the attitude they were marked in"
SEES_NOT = (
    "the ledger does not see a leak, a siphon, venting, return flow or a burn figure set too low: "
    "each of them could be this"
)


# ------------------------------------------------------------------ text


def said(reading: Reading, shown: Shown) -> str:
    """Return the verdict in words: who is off and by how much, or that it cannot be told."""
    v = reading.verdict
    if v.agree:
        return f"{v.says}: {with_unit(v.mean, shown.volume)} together"
    off = with_unit(abs(v.off), shown.volume)
    if not v.blame:
        return f"cannot tell: {v.says}; {v.farthest} stands {off} from the rest"
    text_ = f"{v.says}, by {off} ({abs(v.z):.1f} standard deviations)"
    return f"{text_}; {SEES_NOT}" if v.blame == "ledger" and v.off > 0.0 else text_


def trend_lines(t: Trend, shown: Shown) -> list[str]:
    """Return what the flights show; nothing of them where an entry cannot be."""
    if t.impossible:
        return [
            f"{_flights(t.impossible)}: uplift and burn lead to what the tank cannot hold; an "
            "entry is wrong or missing, and nothing is concluded before it is put right"
        ]
    out = []
    if t.test.alarm is None or t.since is None or t.loss is None:
        least = with_unit(t.smallest, shown.volume)
        flown = "one flight" if len(t.flights) == 1 else f"{len(t.flights)} flights"
        out.append(f"no steady loss shown in {flown}; one of less than about "
                   f"{least} a flight would not show in so few")  # fmt: skip
    else:
        loss = with_unit(t.loss, shown.volume)
        out.append(f"slow loss: the stick falls short of the ledger from flight "
                   f"{t.flights[t.since]} on, by about {loss} a flight; certain enough to say at "
                   f"flight {t.flights[t.test.alarm]}")  # fmt: skip
        out.append(SEES_NOT)
    return out + _pattern_lines(t.pattern, shown)


def _flights(names: Sequence[str]) -> str:
    return f"flight{'s' if len(names) > 1 else ''} {', '.join(names)}"


def _pattern_lines(p: fc.Pattern | None, shown: Shown) -> list[str]:
    if p is None:
        return []
    offset = with_unit(p.offset, shown.volume)
    words = {
        "agree": "agrees within its spread",
        "zero-error": f"off by the same everywhere, {offset}: a zero error",
        "scale-error": f"off in proportion, factor {p.factor:.2f}: a scale error",
        "gallons-mixed": f"off by a factor of {p.factor:.2f}: imperial and US gallons mixed up",
        "no-pattern": "off, but neither by the same nor in proportion: a float that fouls, a dead "
        "spot, or fuel that was lost",
    }
    return [f"gauge against stick over the flights: {words[p.kind]}"]


def text(done: Contents, shown: Shown) -> str:
    """Return the page."""
    volume = shown.volume
    out = page.head(done.places, CERTIFIES)[:-1]
    for r in done.readings:
        when = f", after flight {r.when}" if r.when else ""
        name = done.places.label(r.tank)
        rows = [[s.name, number(s.value, volume), number(s.sigma, volume)] for s in r.sources]
        lines = page.table(["source", "says", "spread"], rows)
        out += page.titled(f"{capital(name)}{when} [{volume}]", lines + items([said(r, shown)]))
    for t in done.trends:
        rows = [
            [f"flight {n}", *(number(x, volume) for x in (stick, ledger, off)), f"{total:.1f}"]
            for n, stick, ledger, off, total in zip(
                t.flights, t.stick, t.ledger, t.residuals, t.test.sums, strict=True
            )
        ]
        header = ["flight", "stick", "ledger", "stick - ledger", f"sum (alarm above {fc.LIMIT:g})"]
        title = f"Over flights, {done.places.label(t.tank)}, the ledger from the dip before"
        out += page.titled(
            f"{title} [{volume}]", page.table(header, rows) + items(trend_lines(t, shown))
        )
    rests = page.titled("Rests on", items(assumptions(done)))
    return "\n".join(out + rests)


def assumptions(done: Contents) -> list[str]:
    """Return what the figures rest on."""
    return [SIGMAS, *([FALSE_ALARM] if done.trends else []), LEVEL, *done.notes]


# ------------------------------------------------------------------ plain data and plot


def as_object(done: Contents, shown: Shown) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    out = page.body("contents", done.places, assumptions(done))
    out["readings"] = [
        {"tank": r.tank, "label": done.places.label(r.tank), "after_flight": r.when or None,
         "sources": [{"id": s.name, "value_m3": s.value, "sigma_m3": s.sigma} for s in r.sources],
         "agree": r.verdict.agree, "off": r.verdict.blame or None,
         "cannot_tell": not r.verdict.agree and not r.verdict.blame,
         "farthest": r.verdict.farthest, "farthest_by_m3": r.verdict.off,
         "farthest_by_sigma": r.verdict.z, "together_m3": r.verdict.mean,
         "together_sigma_m3": r.verdict.sigma, "chi_square": r.verdict.statistic,
         "chi_square_limit": r.verdict.limit, "says": said(r, shown)}
        for r in done.readings
    ]  # fmt: skip
    out["trends"] = [
        {"tank": t.tank, "flights": list(t.flights), "stick_m3": list(t.stick),
         "ledger_m3": list(t.ledger), "residual_m3": list(t.residuals),
         "sigma_m3": list(t.sigmas), "sums": list(t.test.sums),
         "slow_loss": t.test.alarm is not None,
         "alarm_flight": None if t.test.alarm is None else t.flights[t.test.alarm],
         "since_flight": None if t.since is None else t.flights[t.since],
         "impossible_flights": list(t.impossible),
         "loss_per_flight_m3": t.loss, "smallest_shown_m3": t.smallest,
         "gauge_pattern": t.pattern.kind if t.pattern else None,
         "says": trend_lines(t, shown)}
        for t in done.trends
    ]  # fmt: skip
    return out


def draw(done: Contents, shown: Shown) -> str:
    """Return the sources with their spread, or stick and ledger and the sum over flights."""
    unit = shown.volume
    plots: list[list[str]] = []
    told: list[str] = []
    for r in done.readings:
        told.append(f"{done.places.label(r.tank)}: {said(r, shown)}.")
        plots.append(_bars(done, shown, r, top=len(plots) * svg.HEIGHT))
    for t in done.trends:
        told += [f"{done.places.label(t.tank)}: {line}." for line in trend_lines(t, shown)]
        numbers = [float(k + 1) for k in range(len(t.flights))]
        heading = f"{done.places.label(t.tank)}: stick and ledger"
        series = [svg.Series("stick", numbers, [to(v, unit) for v in t.stick]),
                  svg.Series("ledger", numbers, [to(v, unit) for v in t.ledger])]  # fmt: skip
        axes = ("flight, in the order of the file", f"contents [{unit}]")
        plots.append(svg.plot(heading, axes, series, top=len(plots) * svg.HEIGHT))
        heading = f"{done.places.label(t.tank)}: sum of what the stick falls short"
        sums = [svg.Series("sum", numbers, t.test.sums)]
        axes = ("flight, in the order of the file", "standard deviations")
        plots.append(svg.plot(heading, axes, sums, [svg.Level("alarm", fc.LIMIT)],
                              top=len(plots) * svg.HEIGHT))  # fmt: skip
    title = f"{done.places.layout.id}: gauge, stick and ledger"
    return svg.page(
        title,
        model_notes(done.places.layout, "Worked out from the figures given; certifies nothing."),
        " ".join(told),
        plots,
    )


def _bars(done: Contents, shown: Shown, r: Reading, top: float) -> list[str]:
    """Return each source as a mark with a bar two standard deviations either way."""
    unit = shown.volume
    ends = [to(s.value + k * s.sigma, unit) for s in r.sources for k in (-2.0, 2.0)]
    span = svg.Frame((min(ends), max(ends)), (-0.5, len(r.sources) - 0.5), top)
    label = done.places.label(r.tank)
    low, _ = span.at(span.x[0], 0.0)
    out = [svg.text(low, top + 52, f"{label}: each source, two standard deviations either way",
                    "font-weight='bold'")]  # fmt: skip
    for k, s in enumerate(r.sources):
        x1, y = span.at(to(s.value - 2.0 * s.sigma, unit), k)
        x2, _ = span.at(to(s.value + 2.0 * s.sigma, unit), k)
        x, _ = span.at(to(s.value, unit), k)
        out += [svg.line(x1, y, x2, y, "stroke-width='1.5'"), svg.mark(svg.MARKS[k], x, y, 5.0),
                svg.text(x, y - 10, f"{s.name} {with_unit(s.value, unit)}",
                         "text-anchor='middle'")]  # fmt: skip
    for value in svg.ticks(*span.x):
        x, y = span.at(value, -0.5)
        out += [svg.line(x, y, x, y + 5), svg.text(x, y + 18, f"{value:g}", "text-anchor='middle'")]
    left, y = span.at(span.x[0], -0.5)
    right, _ = span.at(span.x[1], -0.5)
    out.append(svg.line(left, y, right, y))
    return [*out, svg.text((left + right) / 2, y + 36, f"contents [{unit}]",
                           "text-anchor='middle'")]  # fmt: skip
