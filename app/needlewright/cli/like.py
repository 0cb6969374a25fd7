"""Another movement or train in an instrument's place: to try it, or to keep it."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.errors import InputError
from gaugecore.movement.library import (
    Library,
    load_library,
    movements_to_choose_from,
    own_library_path,
)
from gaugecore.movement.propose import Proposal
from gaugecore.panel.document import Instrument
from gaugecore.panel.panel_file import PanelFile, save_over

#: The first word of a train that fits, and the kind it is in the panel.
TRAINS = {"direct": "direct", "gear": "gear_pair", "link": "crank_link"}


def with_movement(instrument: Instrument, name: str) -> Instrument:
    """Return the instrument with a movement of the library.

    Raises
    ------
    InputError
        If neither the user's own movements nor the generic classes have this name.
    DocumentError
        If the user's own library is damaged.
    """
    there = movements_to_choose_from(load_library(own_library_path()))
    if name not in there:
        raise InputError("there is no such movement", where="--like", found=name, accepted=", ".join(there))
    return instrument.model_copy(update={"movement": there[name]})


def with_train(instrument: Instrument, proposals: Sequence[Proposal], word: str) -> Instrument:
    """Return the instrument with the train of a kind that fits its movement, needle and scale.

    Parameters
    ----------
    proposals : sequence of Proposal
        The trains that fit.
    word : str
        One of `TRAINS`.

    Raises
    ------
    InputError
        If no train of this kind carries the movement over the scale.
    """
    for proposal in proposals:
        if proposal.train.kind == TRAINS[word]:
            return instrument.model_copy(update={"train": proposal.train})
    fitting = {proposal.train.kind for proposal in proposals}
    raise InputError(
        f"{instrument.id} has no such train that carries its movement over the scale",
        where="--train",
        found=word,
        accepted=", ".join(name for name, kind in TRAINS.items() if kind in fitting) or "none of them",
    )


def library_with(instruments: Sequence[Instrument]) -> Library:
    """Return the user's own library with the movements of instruments added; nothing is written.

    Raises
    ------
    InputError
        If two different movements have one name, so that the second would replace the first.
    DocumentError
        If the user's own library is damaged.
    """
    library = load_library(own_library_path())
    for instrument in instruments:
        namesake = next((i for i in instruments if i.movement.name == instrument.movement.name), instrument)
        if namesake.movement != instrument.movement:
            raise InputError(
                f"{namesake.id} and {instrument.id} have different movements of one name",
                where="--remember",
                found=instrument.movement.name,
                accepted="--instrument ID, or another name for one of them",
            )
        library = library.with_movement(instrument.movement)
    return library


def store(opened: PanelFile, instruments: Sequence[Instrument]) -> None:
    """Save the panel with these instruments in their places.

    Raises
    ------
    OutputError
        If the file cannot be written, or another program changed it meanwhile.
    """
    panel = opened.panel
    for instrument in instruments:
        panel = panel.with_instrument(instrument)
    save_over(opened, panel)
