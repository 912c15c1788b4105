"""Single things that speak for or against a condition. Which counts for what stands in the rule data."""

from __future__ import annotations

from yard.vocabulary import Labelled


class Evidence(Labelled):
    """One observation, in words that finish the sentence 'because …'."""

    SEAL_OPEN = "seal_open", "the seal is open, though no water comes there"
    SEAL_INTACT = "seal_intact", "the seal is whole"
    SEAL_OPEN_TO_WATER = "seal_open_to_water", "the seal is open where water comes"
    FILM_OPEN_TO_WATER = "film_open_to_water", "the film is broken where water comes"
    SEAL_UNTRIED_WHERE_WATER_COMES = "seal_untried_where_water_comes", "nobody tried the seal where water comes"
    WETTER_THAN_BESIDE = "wetter_than_beside", "it is wetter than the wood beside it"
    WET_AND_WETTER_THAN_BESIDE = "wet_and_wetter_than_beside", "it is wet, and wetter than the wood beside it"
    SAME_AS_BESIDE = "same_as_beside", "the wood beside it reads the same"
    WET_READING = "wet_reading", "the reading is wet and nothing beside it explains that"
    NO_MORE_THAN_DAMP = "no_more_than_damp", "for the time of year the reading is no more than damp"
    DRY_READING = "dry_reading", "the reading is dry"
    SOAKING = "soaking", "the wood is near full of water"
    MOVES = "moves", "it moves under the hand"
    MAY_MOVE = "may_move", "it may move"
    DOES_NOT_MOVE = "does_not_move", "it does not move under the hand"
    MOVEMENT_UNTRIED_UNDER_LOAD = "movement_untried_under_load", "it is loaded and nobody tried whether it moves"
    IN_LOAD_PATH = "in_load_path", "the load runs through it"
    LOAD_PATH_NOT_KNOWN = "load_path_not_known", "it is loaded and nobody said that the load runs past it"
    PAST_THE_LOAD_PATH = "past_the_load_path", "the load runs past it"
    NO_LOAD = "no_load", "nothing loads it"
    GROWN = "grown", "it has grown or opened again"
    DRY_AND_UNCHANGED = "dry_and_unchanged", "no water comes there and it has not changed"
    METAL_IN_WET_WOOD = "metal_in_wet_wood", "metal stands in wet wood"


__all__ = ["Evidence"]
