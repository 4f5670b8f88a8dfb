"""Words that the trade uses for one and the same part, for yards whose own list of spoken names has only some of them.

Common practice, no source. What the yard itself means by a word always counts before these.
"""

from __future__ import annotations

from app.book.words.vocabulary import Sense, Vocabulary

SAME = tuple(
    tuple(each.strip() for each in group.split(";"))
    for group in """
    headlamp; headlight; head light; head lamp; headlite
    tail lamp; tail light; taillight; taillamp
    turn signal; blinker; turn signal lamp; signal light
    gearbox; transmission; tranny; trans
    transfer case; t-case; tcase; xfer case
    steering gear; steering box; steering gearbox
    steering rack; rack and pinion; steering rack and pinion
    fuel tank; gas tank
    fuel pump; fuel pump module; fuel sender; sending unit
    lower control arm; front lower control arm; lower arm; lca
    upper control arm; front upper control arm; upper arm; uca
    control arm; a-arm; wishbone
    half-shaft; front half-shaft; cv shaft; cv axle; axle half-shaft
    driveshaft; rear driveshaft; drive shaft; prop shaft; propshaft
    rotor; brake rotor; front rotor; brake disc
    caliper; brake caliper; front caliper
    tailgate; tail gate; endgate; end gate
    instrument cluster; gauge cluster; speedo; speedometer; gauges
    instrument panel; dash; dashboard
    engine computer; ecu; ecm; pcm; brain; brain box
    tire; tyre
    fuse block; fuse box
    nose; nose cut; nose clip
    high-voltage pack; hv pack; hv battery; high-voltage battery; hybrid battery; traction battery; traction pack
    radiator; rad
    alternator; alt; generator
    core support; radiator support
    door mirror; side mirror; mirror; wing mirror; side view mirror; sideview mirror
    fender; front fender
    wheel hub; front hub; hub; hub assembly; wheel bearing; hub bearing
    knuckle; front knuckle; spindle; steering knuckle
    sway bar; stabilizer bar; front stabilizer bar; anti-roll bar; stabilizer
    hitch receiver; receiver; tow hitch; receiver hitch; trailer hitch
    airbag; air bag
    wheel; rim
    window regulator; window motor
    A/C compressor; ac compressor; a/c pump; air conditioning compressor
    A/C condenser; condenser; ac condenser
    blower motor; blower; heater blower; heater motor; blower fan
    seat belt; seatbelt
    starter; starter motor
    liftgate; lift gate; hatch
    leaf spring; leaf pack
    rear glass; back glass; backglass
    brake drum; drum brake
    engine; engine complete; complete engine
    body mount; body-mount cushion; body bushing
    bucket seat; front seat; front bucket seat
    glove box; glovebox
    """.strip().splitlines()
)
"""Each line the names of one part."""


def add_trade_words(made: Vocabulary) -> None:
    """Let each word that the yard has no meaning for stand for what the yard calls by another word of its line."""
    for group in SAME:
        # A yard that keeps them by the pair has the plural alone.
        known = {said: made.senses(said) or made.senses(f"{said}s") for said in group}
        parts = dict.fromkeys(sense.value for senses in known.values() for sense in senses if sense.field == "part")
        for said, senses in known.items():
            for part in parts if not senses else ():
                made.add(said, Sense("part", part))
    _add_lights(made)


def _add_lights(made: Vocabulary) -> None:
    """A lamp is said a light too, and the other way round: a "third brake light" is a third brake lamp."""
    names = [(said, each) for said, senses in made.phrases.items() for each in senses if each.field == "part"]
    for said, sense in names:
        *first, noun = said.split()
        other = _LIGHTS.get(noun)
        if first and other and not made.senses(" ".join((*first, other))):
            made.add(" ".join((*first, other)), sense)


_LIGHTS = {"lamp": "light", "light": "lamp", "lamps": "lights", "lights": "lamps"}
