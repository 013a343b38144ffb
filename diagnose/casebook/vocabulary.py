"""Everything an outsider must know to write a case or read an answer, as plain data."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.casebook.case_keys import CASE_KEYS, KNOWN_BY_MEANS, SETTINGS_MEAN
from diagnose.model import DIMENSIONS, KNOWN_BY, STAGES, TANKS, Layout, Library
from diagnose.places import Places, joint_positions
from diagnose.rules import words_of


def vocabulary(library: Library, layouts: list[Layout]) -> Mapping[str, object]:
    """Return the vocabulary as plain data, ids beside labels."""
    return {
        "knowledge_edition": library.edition,
        "layouts": [
            {
                "id": x.id,
                "label": x.title,
                "traits": dict(x.traits),
                "tank_settings": [
                    *(p.id for p in x.parts.values() if p.kind in TANKS),
                    *joint_positions(x),
                ],
                "run_states": [
                    {"id": s.id, "label": s.title, "stage": s.stage, "settings": dict(s.settings)}
                    for s in x.run_states
                ],
            }
            for x in layouts
        ],
        "parts": [
            {
                "id": p.id,
                "label": names.label(p.id),
                "kind": p.kind,
                "layout": x.id,
                "side": p.side,
                "position": p.position,
                "of": p.of,
            }
            for x in layouts
            for names in [Places(x, library.words.unstated)]
            for p in x.parts.values()
        ],
        "questions": [
            {
                "id": q.id,
                "label": q.title,
                "ask": q.ask,
                "at": list(q.at),
                "classes": dict(q.classes),
                "unit": q.unit,
                "stages": list(q.stages),
                "needs": dict(q.needs),
                "reads": q.reads,
            }
            for q in library.questions.values()
        ],
        "signs": [
            {"id": f"{q.id}:{c}", "label": f"{q.title}: {label}"}
            for q in library.questions.values()
            for c, label in q.classes.items()
        ],
        "symptoms": [
            {"id": s.id, "label": s.title, "at": list(s.at), "when": words_of(s.when)}
            for s in library.symptoms.values()
        ],
        "causes": [
            {
                "id": c.id,
                "label": c.title,
                "family": c.family,
                "part_kinds": list(c.part_kinds),
                "outside": c.outside,
                "because": c.because,
            }
            for c in library.causes.values()
        ],
        "families": [
            {"id": f, "label": f.replace("-", " ")}
            for f in sorted({c.family for c in library.causes.values()})
        ],
        "checks": [
            {"id": c.id, "label": c.title, "at": list(c.at), "results": dict(c.results)}
            for c in library.checks.values()
        ],
        "effects": [
            {"id": e.id, "label": e.title, "at": list(e.at), "values": list(e.values)}
            for e in library.effects.values()
        ],
        "states": {
            "stages": dict(STAGES),
            "settings": {
                d: list(v) or "one of tank_settings of the layout" for d, v in DIMENSIONS.items()
            },
            "meaning": dict(SETTINGS_MEAN),
        },
        "known_by": list(KNOWN_BY),
        "known_by_meaning": dict(KNOWN_BY_MEANS),
        "case_keys": {table: dict(keys) for table, keys in CASE_KEYS.items()},
    }
