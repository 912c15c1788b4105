"""German, as a boatyard writes to an owner.

What speaks for something stands after a colon as a list, not as a clause that would have to change its word order.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from types import MappingProxyType

from inspections.judgement.facts import SignFacts
from inspections.judgement.speech.german_labels import LABELS
from inspections.judgement.speech.tables import Speech
from inspections.judgement.vocabulary import (
    Because,
    Condition,
    DueBackKind,
    Priority,
    RiskLevel,
    SafetyRole,
    Trend,
)
from yard.vocabulary import Labelled

WHAT_IT_IS = MappingProxyType(
    {
        Condition.FINISH_ONLY: "Nur der Anstrich ist betroffen",
        Condition.WATER_WAY_OPEN: "Ein Weg für Wasser ist offen",
        Condition.WATER_IN: "Wasser ist im Holz",
        Condition.DECAY: "Das Holz ist nicht mehr gesund oder muss dafür gelten",
        Condition.JOINT_MOVES: "Die Verbindung arbeitet und lockert sich",
        Condition.SPLIT_IN_LOAD_PATH: "Das Holz ist gerissen, wo es seine Last trägt",
        Condition.METAL_WASTING: "Das Metall korrodiert oder muss als korrodiert gelten",
        Condition.UNSEEN: "Der verdeckte Teil wurde nicht gesehen, und Ungesehenes gilt nicht als gesund",
        Condition.GONE: "Das Teil fehlt",
    }
)
IF_IT_FAILS = MappingProxyType(
    {
        SafetyRole.NONE: "Wenn es versagt, bleibt der Schaden auf das Teil selbst beschränkt",
        SafetyRole.PERSONAL_SAFETY: "Wenn es versagt, kann jemand verletzt werden oder über Bord gehen",
        SafetyRole.WATERTIGHTNESS: "Wenn es versagt, kommt Wasser ins Boot",
        SafetyRole.ANCHORING: "Wenn es versagt, kann sich das Boot von Anker oder Festmacher losreißen",
        SafetyRole.RIG: "Wenn es versagt, kann das Rigg von oben kommen",
        SafetyRole.STEERING: "Wenn es versagt, lässt sich das Boot nicht mehr steuern",
    }
)
HOW_LIKELY = MappingProxyType(
    {
        "A": "So, wie es ist, muss man damit rechnen, dass es noch in dieser Saison versagt",
        "B": "So, wie es ist, besteht eine ernst zu nehmende Gefahr, dass es in der Saison versagt",
        "C": "So, wie es ist, kann es in der Saison versagen",
        "D": "Dass es in der Saison versagt, ist nicht wahrscheinlich, aber möglich",
        "E": "Dass es in der Saison versagt, ist sehr unwahrscheinlich",
        "F": "Es kann nicht mehr versagen",
    }
)
RISK_IN_WORDS = MappingProxyType(
    {
        RiskLevel.HIGH: "ein hohes Risiko",
        RiskLevel.SERIOUS: "ein ernstes Risiko",
        RiskLevel.MEDIUM: "ein mittleres Risiko",
        RiskLevel.LOW: "ein geringes Risiko",
        RiskLevel.ELIMINATED: "kein Risiko mehr",
    }
)
WHEN = MappingProxyType(
    {
        Priority.BEFORE_LAUNCH: "Es muss vor dem Zuwasserlassen erledigt sein",
        Priority.THIS_SEASON: "Es ist Arbeit für diese Saison",
        Priority.NEXT_LAYUP: "Es kann bis zum nächsten Winterlager warten",
        Priority.WATCH: "Es wird beobachtet",
    }
)
BECAUSE = MappingProxyType(
    {
        Because.NOTHING_LEFT: "Dort ist nichts mehr, was versagen könnte",
        Because.NOT_LONG_UNSEEN: "Es ist nicht länger verdeckt, als ein solches Teil es sein darf",
        Because.CLOSED_LONG_ENOUGH: "Die Zeit, die ein solches Teil geschlossen bleiben darf, ist fast um",
        Because.NOTHING_GAINED: "Mit einem Eingriff wäre jetzt nichts gewonnen",
        Because.STANDS_STILL: "Es steht still und lässt sich mit anderen Arbeiten an Land erledigen",
        Because.TOO_HIGH_TO_LEAVE: "Das Risiko ist zu hoch, um es so zu lassen, aber es hängt nichts daran",
        Because.TOO_HIGH_AFLOAT: "Das Risiko ist zu hoch, um damit aufs Wasser zu gehen",
        Because.GETS_WORSE: "Es wird schlimmer",
        Because.MOVES: "Es bewegt sich, und jede Bewegung öffnet es weiter",
        Because.LOAD: "Die Last arbeitet daran",
        Because.WATER: "Wasser treibt es voran",
    }
)
TO_DO_BY = MappingProxyType(
    {
        DueBackKind.PUT_RIGHT: "Bis zum {day} ist es instand zu setzen.",
        DueBackKind.LOOK_AGAIN: "Bis zum {day} ist es erneut anzusehen.",
        DueBackKind.OPEN_UP: "Bis zum {day} ist es zu öffnen und anzusehen.",
    }
)
TO_DO_NOW = MappingProxyType(
    {
        DueBackKind.PUT_RIGHT: "Es ist jetzt instand zu setzen.",
        DueBackKind.LOOK_AGAIN: "Es ist jetzt erneut anzusehen.",
        DueBackKind.OPEN_UP: "Es ist jetzt zu öffnen und anzusehen.",
    }
)
TREND_IN_WORDS = MappingProxyType(
    {
        Trend.NEW: "ist seit der letzten Durchsicht neu",
        Trend.UNCHANGED: "hat sich seit der letzten Durchsicht nicht verändert",
        Trend.GROWN: "ist seit der letzten Durchsicht gewachsen",
        Trend.REOPENED: "hat sich nach einer Reparatur wieder geöffnet",
    }
)
SENTENCES = MappingProxyType(
    {
        "seen": "Gesehen: {signs}.",
        "mark": "Eine Gebrauchsspur: Nichts, was aufgenommen wurde, spricht für einen Schaden, der weitergeht.",
        "what": "{what}.",
        "what_because": "{what}: {because}.",
        "besides": "Außerdem: {conditions}.",
        "set_aside": "Geprüft und verworfen: {condition}. Dagegen spricht: {against}.",
        "size_held": "Am {day} waren es {before} mm, jetzt sind es {now} mm.",
        "size_grew": "Seit dem {day} ist es von {before} mm auf {now} mm gewachsen.",
        "size": "Es misst {now} mm.",
        "size_and_trend": "Es misst {now} mm und {trend}.",
        "trend": "Es {trend}.",
        "moisture": "Das Messgerät zeigt hier {here} %; daneben hat niemand gemessen.",
        "moisture_beside": "Das Messgerät zeigt hier {here} % und im gesunden Holz daneben {beside} %.",
        "read_again": (
            "Wetter oder Salz können das erklären: abwaschen, trocknen lassen und noch einmal messen, bevor mehr "
            "Geld ausgegeben wird."
        ),
        "unseen_unknown": "Wann der verdeckte Teil zuletzt gesehen wurde, ist nirgends vermerkt.",
        "unseen": (
            "Seit {months} hat niemand den verdeckten Teil gesehen; ein solches Teil wird mindestens alle "
            "{cap} Monate geöffnet."
        ),
        "at_work": "Was dort wirkt: {works}.",
        "worse_unmeasured": "Es wird schlimmer, aber niemand hat gemessen, um wie viel.",
        "stake": "{if_it_fails} (Schwere {severity}, von 1 am schwersten bis 4).",
        "likely": "{how_likely} (Wahrscheinlichkeit {level}, von A bis E): {risk}.",
        "likely_figure": "{how_likely} ({odds}; Wahrscheinlichkeit {level}, von A bis E): {risk}.",
        "left_mark": "Es kann so bleiben: Eine Gebrauchsspur ist kein Mangel.",
        "left_alone": "Es kann so bleiben: Nichts wirkt darauf ein.",
        "repairs_can_wait": "Eine Reparatur kann, falls sie nötig ist, bis zum nächsten Winterlager warten.",
        "when": "{when}: {because}.",
        "afloat": "Das Boot schwimmt schon: Belasten Sie die Stelle nicht und bleiben Sie bis dahin im Hafen.",
        "launch_waits": "Vor dem {day} bleibt kein Arbeitstag mehr: Das Zuwasserlassen muss warten.",
        "launch": "Das Boot soll am {day} zu Wasser.",
        "layup": "Das nächste Winterlager beginnt am {day}.",
        "overdue_opening": "Es sollte bis zum {day} geöffnet sein und ist überfällig. {to_do_now}",
        "overdue": "Es war am {day} fällig und ist überfällig. {to_do_now}",
        "found_put_right": "Was sich dabei findet, wird bis zum {day} instand gesetzt.",
        "never_dry": (
            "Abgedeckt im Freien trocknet es nicht bis auf {target} %; dort lässt es sich also nicht versiegeln."
        ),
        "never_dry_washed": (
            "Abgewaschen und abgedeckt im Freien trocknet es nicht bis auf {target} %; dort lässt es sich also "
            "nicht versiegeln."
        ),
        "dry": (
            "Abgedeckt im Freien ist es voraussichtlich am {likely} trocken genug zum Versiegeln ({target} %), "
            "{latest}."
        ),
        "dry_washed": (
            "Abgewaschen und abgedeckt im Freien ist es voraussichtlich am {likely} trocken genug zum Versiegeln "
            "({target} %), {latest}."
        ),
        "latest": "im ungünstigen Fall am {day}",
        "latest_never": "im ungünstigen Fall nicht innerhalb von drei Jahren",
        "dry_in_shed": "In einer geheizten Halle ist es voraussichtlich am {day} so weit.",
        "dry_too_late": (
            "Im Freien wird das für den {day} zu spät: in einer Halle trocknen, oder bis dahin nur öffnen, "
            "abwaschen und lüften."
        ),
        "meanwhile": (
            "Falls ein Werkzeug oder ein Teil fehlt, gilt vorläufig: {hold}. Die eigentliche Reparatur ist bis zum "
            "{day} fällig."
        ),
        "sooner": (
            "Früher nachzusehen ist, wenn es {grown} mm größer ist, {points} Punkte feuchter misst oder Spiel "
            "zeigt."
        ),
        "contradiction": (
            "Was aufgenommen wurde, widerspricht sich. Bis jemand noch einmal nachsieht, gilt der schlechtere Fall."
        ),
        "one_face": (
            "Nur eine Seite davon wurde gesehen: Die andere ist anzusehen, bevor die Arbeit festgelegt wird."
        ),
        "no_face": "Keine Seite davon wurde gesehen: Beide sind anzusehen, bevor die Arbeit festgelegt wird.",
        "taken_water": "Wasser ({label})",
        "taken_load": "Last ({label})",
        "taken": "Nicht aufgenommen, daher gilt das Schlimmste, was ein solches Teil trifft: {taken}.",
    }
)
MONTHS = (
    "Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November",
    "Dezember",
)  # fmt: skip
HUNDREDTH = 0.01
NO_BREAK = "\u00a0"
NARROW_SPACE = "\u202f"
FIVE_FIGURES = 5


def _day(day: date) -> str:
    # a day is not parted from its month at the end of a line
    return f"{day.day}.{NO_BREAK}{MONTHS[day.month - 1]} {day.year}"


def _number(figure: float) -> str:
    return f"{figure:g}".replace(".", ",")


def _odds(probability: float) -> str:
    if probability >= HUNDREDTH:
        return f"etwa {min(round(probability * 100), 99)} von 100"
    digits = len(str(round(1 / probability))) - 1
    # up to four figures stand together in German; from five on they are parted, here by a narrow space
    whole = f"{round(1 / probability, -digits):.0f}"
    return f"etwa 1 von {whole if len(whole) < FIVE_FIGURES else f'{whole[:-3]}{NARROW_SPACE}{whole[-3:]}'}"


def _months(months: float) -> str:
    """Months after "seit"."""
    whole = round(months)
    return "einem Monat" if whole == 1 else f"{whole} Monaten"


def _label(member: Labelled) -> str:
    return LABELS[type(member)][member]


def _sign(sign: SignFacts) -> str:
    return sign.name


def _listed(words: Sequence[str]) -> str:
    """Names in a row: eins, zwei und drei; where one has a comma of its own, semicolons part them."""
    if any("," in word for word in words):
        return "; ".join(words)
    return " und ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def _because_of(words: Sequence[str]) -> str:
    return "; ".join(words)


GERMAN = Speech(
    language="de",
    sentences=SENTENCES,
    what_it_is=WHAT_IT_IS,
    split_but_unloaded="Das Holz ist gerissen, aber es hängt keine Last daran",
    if_it_fails=IF_IT_FAILS,
    how_likely=HOW_LIKELY,
    risk=RISK_IN_WORDS,
    when=WHEN,
    because=BECAUSE,
    to_do_by=TO_DO_BY,
    to_do_now=TO_DO_NOW,
    trend=TREND_IN_WORDS,
    label=_label,
    sign=_sign,
    listed=_listed,
    because_of=_because_of,
    day=_day,
    number=_number,
    odds=_odds,
    months=_months,
)

__all__ = ["GERMAN"]
