"""German words for the codes of the vocabularies, as they stand in a list or on a line by themselves."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from inspections.judgement.evidence import Evidence
from inspections.judgement.vocabulary import (
    Answer,
    Condition,
    Contact,
    DueBackKind,
    Exposure,
    Load,
    Moves,
    Priority,
    RiskLevel,
    SafetyRole,
    Seal,
    Sides,
    Trend,
    Water,
)
from yard.vocabulary import Finish, Labelled

# By vocabulary, for codes of two vocabularies may be the same word.
LABELS: Mapping[type[Labelled], Mapping[str, str]] = MappingProxyType(
    {
        Answer: {
            Answer.SOUND: "gesund",
            Answer.FINDING: "Befund",
            Answer.NOT_SEEN: "nicht gesehen",
            Answer.NOT_FITTED: "nicht vorhanden",
        },
        Condition: {
            Condition.FINISH_ONLY: "nur der Anstrich",
            Condition.WATER_WAY_OPEN: "Weg für Wasser offen",
            Condition.WATER_IN: "Wasser im Holz",
            Condition.DECAY: "Fäulnis",
            Condition.JOINT_MOVES: "Verbindung arbeitet",
            Condition.SPLIT_IN_LOAD_PATH: "Riss im Kraftfluss",
            Condition.METAL_WASTING: "Metall korrodiert",
            Condition.UNSEEN: "nicht einsehbar",
            Condition.GONE: "Teil fehlt",
        },
        Exposure: {Exposure.WET: "Wasser kommt hin", Exposure.DRY: "kein Wasser kommt hin"},
        Priority: {
            Priority.BEFORE_LAUNCH: "vor dem Zuwasserlassen",
            Priority.THIS_SEASON: "in dieser Saison",
            Priority.NEXT_LAYUP: "im nächsten Winterlager",
            Priority.WATCH: "beobachten",
        },
        RiskLevel: {
            RiskLevel.HIGH: "hoch",
            RiskLevel.SERIOUS: "ernst",
            RiskLevel.MEDIUM: "mittel",
            RiskLevel.LOW: "gering",
            RiskLevel.ELIMINATED: "keines mehr",
        },
        DueBackKind: {
            DueBackKind.PUT_RIGHT: "instand setzen",
            DueBackKind.LOOK_AGAIN: "erneut ansehen",
            DueBackKind.OPEN_UP: "öffnen und ansehen",
        },
        Seal: {
            Seal.INTACT: "unversehrt",
            Seal.FILM_BROKEN: "Anstrichfilm gebrochen",
            Seal.PARTLY: "teilweise gelöst",
            Seal.REOPENED: "schon einmal abgedichtet und wieder offen",
            Seal.OPEN: "offen",
            Seal.UNKNOWN: "nicht bekannt",
        },
        Moves: {
            Moves.NO: "bewegt sich nicht",
            Moves.SUSPECTED: "bewegt sich vielleicht",
            Moves.YES: "bewegt sich",
            Moves.UNKNOWN: "nicht geprüft",
        },
        Trend: {
            Trend.NEW: "neu",
            Trend.UNCHANGED: "unverändert",
            Trend.GROWN: "gewachsen",
            Trend.REOPENED: "nach Reparatur wieder offen",
            Trend.UNKNOWN: "nicht bekannt",
        },
        Sides: {Sides.NONE: "keine Seite", Sides.ONE: "eine Seite", Sides.BOTH: "beide Seiten"},
        Contact: {
            Contact.WOOD_TO_WOOD: "Holz auf Holz",
            Contact.METAL_TO_WOOD: "Metall auf Holz",
            Contact.SEALANT_JOINT: "Fuge mit Dichtmasse",
            Contact.END_GRAIN: "Hirnholz",
            Contact.NONE: "nichts",
        },
        Load: {
            Load.NONE: "keine Last",
            Load.STATIC: "ruhende Last",
            Load.CYCLIC: "wechselnde Last",
            Load.SHOCK: "stoßartige Last",
        },
        Water: {
            Water.NONE: "kein Wasser",
            Water.SHIELDED: "vor Wasser geschützt",
            Water.INTERIOR: "Feuchtigkeit im Bootsinneren",
            Water.RAIN: "Regen",
            Water.SPLASH: "überkommendes Seewasser",
            Water.STANDING: "stehendes Wasser",
            Water.IMMERSED: "Lage unter Wasser",
            Water.UNKNOWN: "nicht bekannt",
        },
        Finish: {
            Finish.VARNISH: "Klarlack",
            Finish.OIL: "Öl",
            Finish.PAINT: "Farbe",
            Finish.BARE: "unbehandelt",
        },
        SafetyRole: {
            SafetyRole.NONE: "niemandes Sicherheit",
            SafetyRole.PERSONAL_SAFETY: "die Sicherheit der Menschen an Bord",
            SafetyRole.WATERTIGHTNESS: "die Dichtigkeit",
            SafetyRole.ANCHORING: "Ankern und Festmachen",
            SafetyRole.RIG: "das Rigg",
            SafetyRole.STEERING: "die Steuerung",
        },
        Evidence: {
            Evidence.SEAL_OPEN: "Abdichtung offen, aber kein Wasser dort",
            Evidence.SEAL_INTACT: "Abdichtung unversehrt",
            Evidence.SEAL_OPEN_TO_WATER: "Abdichtung offen, wo Wasser hinkommt",
            Evidence.FILM_OPEN_TO_WATER: "Anstrichfilm gebrochen, wo Wasser hinkommt",
            Evidence.SEAL_UNTRIED_WHERE_WATER_COMES: "Abdichtung nicht geprüft, wo Wasser hinkommt",
            Evidence.WETTER_THAN_BESIDE: "feuchter als das Holz daneben",
            Evidence.WET_AND_WETTER_THAN_BESIDE: "nass, und feuchter als das Holz daneben",
            Evidence.SAME_AS_BESIDE: "gleicher Messwert im Holz daneben",
            Evidence.WET_READING: "nasser Messwert, den nichts daneben erklärt",
            Evidence.NO_MORE_THAN_DAMP: "Messwert für die Jahreszeit höchstens feucht",
            Evidence.DRY_READING: "trockener Messwert",
            Evidence.SOAKING: "Holz fast voll Wasser",
            Evidence.MOVES: "Bewegung unter der Hand",
            Evidence.MAY_MOVE: "Bewegung möglich",
            Evidence.DOES_NOT_MOVE: "keine Bewegung unter der Hand",
            Evidence.MOVEMENT_UNTRIED_UNDER_LOAD: "belastet und nicht auf Bewegung geprüft",
            Evidence.IN_LOAD_PATH: "liegt im Kraftfluss",
            Evidence.LOAD_PATH_NOT_KNOWN: "belastet, ohne Angabe, ob die Kraft daran vorbeigeht",
            Evidence.PAST_THE_LOAD_PATH: "liegt neben dem Kraftfluss",
            Evidence.NO_LOAD: "keine Last darauf",
            Evidence.GROWN: "gewachsen oder wieder offen",
            Evidence.DRY_AND_UNCHANGED: "kein Wasser dort und unverändert",
            Evidence.METAL_IN_WET_WOOD: "Metall in nassem Holz",
        },
    }
)

__all__ = ["LABELS"]
