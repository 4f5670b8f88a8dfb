"""Words of any yard: sides, places, counts, those that say nothing of the part, and those never taken as a slip."""

from __future__ import annotations

SIDES = {
    "lh": "LH", "l": "LH", "left": "LH", "driver's": "LH", "drivers": "LH", "driver": "LH", "lf": "LH", "lr": "LH",
    "rh": "RH", "r": "RH", "right": "RH", "passenger": "RH", "passenger's": "RH", "passengers": "RH", "rf": "RH",
    "rr": "RH", "driver side": "LH", "driver's side": "LH", "passenger side": "RH", "passenger's side": "RH",
    "left side": "LH", "right side": "RH", "left hand": "LH", "right hand": "RH", "lhs": "LH", "rhs": "RH",
    "lt": "LH", "rt": "RH", "pass": "RH", "drvr": "LH",
    "fl": "LH", "fr": "RH", "rl": "LH",
    "pass side": "RH", "psgr": "RH", "psgr side": "RH",
}  # fmt: skip
"""Words for a side, as seated facing forward."""
SEATS = {
    **dict.fromkeys(("driver", "driver's", "drivers", "drvr"), "driver"),
    **dict.fromkeys(("passenger", "passenger's", "passengers", "pass", "psgr"), "passenger"),
}
"""Words for a side that are also the name of a part of that seat: a driver airbag."""
POSITIONS = {
    "lf": "front", "rf": "front", "lr": "rear", "rr": "rear", "back": "rear", "front": "front", "rear": "rear",
    "fl": "front", "fr": "front", "rl": "rear",
    "upper": "upper", "lower": "lower", "inner": "inner", "outer": "outer",
}  # fmt: skip
"""Words that tell of a place on the vehicle, and the place as part names have it."""
STICKERS = ("door sticker", "door label", "door jamb", "door plate", "door tag", "door says", "door reads")
"""Where a date is read: no door is asked for."""
COUNTS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
    "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60,
    "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
"""Numbers in words."""
COUNTS |= {
    f"{tens}-{one}": COUNTS[tens] + COUNTS[one]
    for tens in "twenty thirty forty fifty sixty seventy eighty ninety".split()
    for one in "one two three four five six seven eight nine".split()
}

PEOPLE = frozenset(
    f"{who}{whose}"
    for whose in ("", "s", "'s", "s'")
    for who in """aunt boss boyfriend bro brother brother-in-law cousin customer dad daddy daughter
    daughter-in-law father father-in-law fella folks friend gal girlfriend granddaughter grandfather grandma
    grandmother grandpa grandson guy husband kid kids lady man mate mechanic mom mother mother-in-law
    neighbor neighbour nephew niece pal parents roommate sister sister-in-law son son-in-law uncle wife woman""".split()
)
"""Whose vehicle it is, as in "my brother's truck": it is the customer's in any case."""
FILLER = PEOPLE | frozenset(
    """a about afternoon all alright an and another any anyone anything are as at be but can car car's chance
    cheap cheers cost costs could couldn't customer do does doesn't don't dude else ever fit fits for from get
    gimme give go going gonna good got gotta guys had has have he hear hello her hes hey hi his how's i i'd i'll i'm
    i've if im in into is it it's its ive just kindly know lemme like line lookin looking ma'am me mind mine
    mine's mines must morning my n need needs new no of off old on one onto or our out perhaps piece please price
    priced prices put quote rig same says she shes should side sir some somebody someone sticker than thank
    thanks that thats the their them then there theres these they they're thing this tho to too truck truck's
    u uh um under up us used vehicle vin w wanna want wants was we were what what's whats when where which will
    with won't work would y'all ya yall you you've your yours""".split()
)
"""Words that say nothing of part or vehicle and need not be shown."""

EVERYDAY = frozenset(
    """after again aint also always anybody around asked away back bad badly bang bank bare barely beat been before
    being bent best better between big bigger bit blew block blow both bought brake bring broke broken brought
    bust busted buy buying call called came care carry case caught change check clean clear close cold colour
    come coming crack cracked crash cut damage day days dead deal dealer dear did died different done dont down
    drip drive driven driving drop dry during each early easy eight either end enough even every everything
    exactly eyes face fact fair fall far fast fault feel fell few fifty find fine first fix fixed fluid fluids
    foot found front full fuel game gave gets girl gives gone grab grand great ground guess half hand hang
    happen hard hasn't hate haven't hauled head heard heat held hell help here hers high hit hold hole home
    honest hope hot hour hours house how idea inside isn't it'll item job keep kept kind knock knows last late
    later leak leaked leaking leaks least left less let life lift little load local long look looked lost lot
    lots loud love low luck make making many matter may maybe mean meant measure measured measures mech men mess
    might mile miles mister money month months more most much must name near never next nice nobody noise none
    nose note nothing now number numbers often okay once only open other ought over own owner paid park pass pay
    people phone pick place plain play poor pour pouring pretty probably problem pull pulled pulling push quick
    quit quite ran rather read ready real really reason rebuild rest rid ride right road rot rotted rotten round
    run running rust rusted rusty said sale salvage sat saw see seem seen sell send sense set several shop short
    shot show sick sign since sit sits sitting size slip small smoke snow sold something soon sorry sort sound
    speak split spare start started stay steal still stock stop straight strange street strip stuck stuff such
    sure swap swapped tail take taken talk tear tell that's thick thin think those though thought through till
    time tired told tomorrow tonight took tore torn total totally touch town trade trip true try trying turn
    turned twice unless until upon use usually very wait walk wanted warm wasn't watch water way week weeks weld
    welder well went wet whatever while whole who why wide wild wind winter wise within without wonder word wore
    worked working worn worst worth wouldn't wreck wrecked write wrong yard yeah year years yes yesterday yet
    young yourself""".split()
)
"""Words that are right as they are, however near they come to one of the yard's; they are shown when not understood."""
SIZE_WORDS = frozenset("long short tall low high wide narrow thick thin big small large".split())
"""Words that right before a part say something of it, and of the vehicle only where that is looked at for the part."""
SHOPS = frozenset(
    """repair repairs parts shop service services salvage wrecking wreckers recycling recyclers sales center centre
    garage works supply company""".split()
)
"""What a shop or a trade is called by behind "auto", "towing" and the like: no gearbox or tow package is told of."""
DEEDS = frozenset({("pick", "up")})
"""Words together that are something to do as well as a word of the trade …"""
OF_DEEDS = frozenset("a an the my it that this them some one today tomorrow tonight now".split())
BEFORE_DEEDS = frozenset("i i'll we we'll you can could to and gonna wanna will he she come".split())
"""… where one of these stands behind or before."""
ON_IT = frozenset({"it", "mine", "her", "him", "now"})
"""What follows "under" and the like where something is said to be on the customer's own vehicle."""
MOVED = frozenset(
    "swapped put grafted bolted welded mounted installed fitted sitting sits sat set dropped stuck hung slid".split()
)
"""Words by which what was of one vehicle is said to be on another."""
ON_PARTS = frozenset(
    """actuator badge carrier carriers bearing bearings bolt bolts boot boots bracket brackets bulb bulbs bushing
    bushings button cover covers crossmember crossmembers pan pans rail rails reservoir reservoirs tray trays
    cable cables cap caps clip clips cooler coolers emblem filter fluid gasket gaskets guard handle handles
    hinge hinges hose hoses knob knobs latch lens line liner lines link links lug lugs mount mounts nut nuts pad
    pads pin pins plate pulley relay rod rods seal seals sensor sensors shield shoe shoes skirt strap straps
    stud studs switch track trim motor motors""".split()
)
"""Small pieces on a part that are no such part themselves: a tank strap is no tank (common practice, no source)."""
NAMING = frozenset("water tail turn hand brake snow wind smoke air fuel lift park push stop drive spare".split())
"""Everyday words that before a part's noun name another part: a water pump is no fuel pump."""
AS_THEY_ARE = frozenset(POSITIONS) | ON_PARTS | SIZE_WORDS | NAMING | MOVED | SHOPS | frozenset(
    """wearing wears carries having switched replaced taller wider narrower thicker thinner longer shorter larger
    bigger smaller heavier lighter older newer fewer later volts volt pound pounds quart quarts liter liters
    litre litres mar apr aug sep sept oct nov dec plus thru pre post nope code class track position condition
    certain digit eleventh spend couple centre center height weight length width ratio count speed kit wire
    wires shelf frame chassis nose body cab engine motor eighth eighths sixteenth sixteenths dent dents dented
    ding dings scratch scratched scratches bondo filler paint painted primer faded peeling rusty crusty crispy
    mint rough decent solid junk junked totaled rolled flipped flood flooded burned burnt fire hail hailed deer
    dog cat cow horse moose elk tree pole ditch curb fence ice mud rain storm barn field farm ranch hay cattle
    boat camper trailer haul hauling plow plowing hunting fishing boss crew site gravel dirt highway county
    state border insurance claim title inspection inspector cop court cash card credit debit deposit finance tax
    ship shipping freight delivery deliver drop hold holding saving reserve warehouse counter desk text texted
    message email pic pics photo photos website listing search video address weekend monday tuesday wednesday
    thursday friday saturday sunday noon evening spring summer fall winter hurry stranded busted snapped sheared
    stripped twisted warped seized frozen locked loose rattling clunking grinding squealing squeaking humming
    whining howling knocking ticking tapping clicking popping banging shaking vibrating wobbling drifting
    dripping spraying smoking steaming overheating overheated stalls stalling idle idling misfire cranking spins
    slipping slips shifts shifting grinds pops jumps drives drove stopped stops starts parked sat stored traded
    rebuilt restored project lifted custom original factory genuine afford spending grand cents estimate
    discount charge warranty guarantee refund exchange match matches matching identical similar correct exact
    roughly kinda sorta super bunch several hello sup thx pls appreciate welcome hang minute second moment yep
    yup nah perfect awesome cool sweet beautiful ugly stupid dumb crazy weird funny serious honest truth lie
    swear promise bet guess lose stole stolen thief hidden beside along across edge corner sideways underneath
    tow towed yo""".split()
)  # fmt: skip
"""Words that are no slip for one of the yard's, whatever that has."""
