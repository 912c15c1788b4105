"""What happens if nothing is done, in the owner's words. Common practice, no source; how grave it is comes from
the severity categories of MIL-STD-882E, Table I, in words of our own."""

from typing import Final

from inspections.judgement.vocabulary import Condition
from yard.languages import Language

RUNS_ON: Final[dict[Language, dict[Condition, str]]] = {
    "en": {
        Condition.FINISH_ONLY: "What is only on the surface now wears on, and bare wood begins to take up water.",
        Condition.WATER_WAY_OPEN: (
            "Water goes on getting in. What can be sealed now turns to wet wood and then to rot."
        ),
        Condition.WATER_IN: "Wood that stays wet rots from the inside, and sealing it is then no longer enough.",
        Condition.DECAY: (
            "Rot does not stop while it is damp. It runs on along the grain, and more has to be cut out."
        ),
        Condition.JOINT_MOVES: "A joint that moves works its glue and fastenings loose and lets water in.",
        Condition.SPLIT_IN_LOAD_PATH: (
            "Every pull opens the split further, until it lets go, most likely under load."
        ),
        Condition.METAL_WASTING: "The metal thins unseen, swells, splits the wood and may let go unannounced.",
        Condition.UNSEEN: "Nobody knows how it is. Whatever may be going on there goes on.",
        Condition.GONE: "The part is missing, and nothing does its work.",
    },
    "de": {
        Condition.FINISH_ONLY: (
            "Was jetzt nur die Oberfläche betrifft, nutzt sich weiter ab, und blankes Holz beginnt Wasser "
            "aufzunehmen."
        ),
        Condition.WATER_WAY_OPEN: (
            "Wasser dringt weiter ein. Was sich jetzt noch abdichten lässt, wird erst nasses und dann faules Holz."
        ),
        Condition.WATER_IN: "Holz, das nass bleibt, fault von innen, und dann reicht Abdichten nicht mehr.",
        Condition.DECAY: (
            "Fäulnis hört nicht auf, solange es feucht ist. Sie läuft in Faserrichtung weiter, und es muss mehr "
            "herausgeschnitten werden."
        ),
        Condition.JOINT_MOVES: (
            "Eine Verbindung, die sich bewegt, lockert Leim und Befestigungen und lässt Wasser hinein."
        ),
        Condition.SPLIT_IN_LOAD_PATH: (
            "Jeder Zug öffnet den Riss weiter, bis das Holz nachgibt, am ehesten unter Last."
        ),
        Condition.METAL_WASTING: (
            "Das Metall wird ungesehen dünner, quillt auf, sprengt das Holz und kann ohne Vorwarnung nachgeben."
        ),
        Condition.UNSEEN: "Niemand weiß, wie es dort aussieht. Was dort auch vorgeht, geht weiter.",
        Condition.GONE: "Das Teil fehlt, und nichts tut seinen Dienst.",
    },
}

COMES_TO: Final[dict[Language, dict[int, str]]] = {
    "en": {
        1: "If it fails at sea, lives and the boat are at stake.",
        2: "If it fails, somebody may be badly hurt or the boat badly damaged.",
        3: "If it fails, the harm is limited, but it will cost more than now.",
        4: "Nobody's safety hangs on it; it is a matter of upkeep.",
    },
    "de": {
        1: "Wenn es auf See versagt, stehen Menschenleben und das Boot auf dem Spiel.",
        2: "Wenn es versagt, kann jemand schwer verletzt oder das Boot schwer beschädigt werden.",
        3: "Wenn es versagt, ist der Schaden begrenzt, kostet aber mehr als jetzt.",
        4: "Niemandes Sicherheit hängt daran; es ist eine Frage der Pflege.",
    },
}


# Of a whole surface whose finish has had its time.
SURFACE_LEFT: Final[dict[Language, str]] = {
    "en": (
        "An old or much patched finish lets go in more and more places, and each lets water into the wood. "
        "Nobody's safety hangs on it; it is a matter of upkeep."
    ),
    "de": (
        "Ein alter oder oft ausgebesserter Anstrich löst sich an immer mehr Stellen, und jede lässt Wasser ins "
        "Holz. Niemandes Sicherheit hängt daran; es ist eine Frage der Pflege."
    ),
}


def if_left(condition: str, severity: int, language: Language = "en") -> str:
    """What comes of it, and how grave that is, for an owner.

    Args:
        condition: code of the vocabulary.
        severity: 1 (gravest) to 4.
        language: of the words.

    Raises:
        ValueError: an unknown condition.
        KeyError: an unknown severity.
    """
    return f"{RUNS_ON[language][Condition(condition)]} {COMES_TO[language][severity]}"


__all__ = ["COMES_TO", "RUNS_ON", "SURFACE_LEFT", "if_left"]
