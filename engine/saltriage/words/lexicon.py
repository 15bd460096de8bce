"""The trade's synonyms: which words mean the same to a caller. Data only; wording is common practice, no source.

One line of `CONCEPTS` is `name = word, word, two words, ...`; any of them is read as the concept `name`. What a whole
symptom sounds like stands with the symptom, as `phrases` in rules/symptoms; both are read through the same concepts.
"""

__all__ = [
    "CONCEPTS",
    "DROPPED",
    "IRREGULAR",
    "PARAMETERS",
    "SPELLINGS",
]

CONCEPTS = """
box = box, control box, controller, control panel, control unit, power supply, power unit, power center, power \
    centre, chlorinator, chlorine generator, salt generator, salt system, salt unit, salt box, salt chlorinator, \
    salt water system, unit, generator, panel, transformer, salt machine, circuit board, chlorine maker, chlorinator \
    box, salt cell box, machine
display = display, screen, readout, lcd
warn = light, lamp, led, warning, message, alarm, error, fault, indicator, lite, alert, notice, code, reminder, \
    beep, msg, err, popup
say = say, tell, read, show, display says, claim, report, indicate, think, complain, want, ask, told, reckon
return = return jet, jet, return, nozzle, inlet, eyeball, return eye, return fitting, outlet fitting, return \
    nozzle, return line, return inlet, pool jet, water jet, returns
skimmer = skimmer, skimmer box
basket = basket, strainer, strainer basket, pump basket, pump strainer, skimmer basket
pumplid = lid, pump lid, lid of the pump, strainer lid, pump cover, clear lid, pump pot lid, basket lid
pumppot = pump pot, strainer pot
pump = pump, motor, pool pump, pump motor, circulation pump, filter pump
filter = filter, sand filter, filter tank, filter housing, cartridge filter
cell = cell, salt cell, electrode, chlorine cell, chlorinator cell, electrolysis cell
plate = plate, fin, blade, electrode plate, cell plate, grid
salt = salt, salinity, salt level
chlorine = chlorine, chlorine level, free chlorine, sanitizer, sanitiser, chlorine reading, free available \
    chlorine, free cl, cl
stabiliser = stabiliser, cyanuric acid, conditioner, stabilizer, cyanuric, pool sunscreen, water conditioner
alkalinity = alkalinity, total alkalinity, alk, alkali, t alkalinity
hardness = hardness, calcium hardness, calcium
bubble = bubble, air bubble
air = air
mist = mist, fizz, micro bubble, fine bubble, tiny bubble, little bubble, small bubble, fizzing, milky mist, \
    champagne bubble, fizzy, effervescence
weak = weak, weaker, feeble, poor, trickle, dribble, hardly any, hardly, barely, scarcely, not much, not a lot of, \
    very little, slow, pathetic, lazy, not strong, reduced, dropped off, sluggish, less than usual, no force, \
    much less
flow = flow, water flow, pressure from the jet, flow rate, circulation, push, force, water pressure, stream, \
    current of water
strong = strong, stronger, blasting, roar, roaring, \
    powerful, full force, full flow, plenty of, loads of flow, lots of flow, full blast, \
    full bore, gushing, normal flow
low = low, too few, lacking, short of, too little, not enough, deficient, insufficient, lower, lowish
high = high, too much, too many, excessive, elevated, sky high, way up, through the roof, spiked, higher
strip = strip, test strip, dip strip, paper strip
test = test, tester, test kit, measurement, kit, measure, drop test, by drops, fresh drops, the drops, test \
    drops, drops say, drops show, drops read, drops gave, drops give, drops said, drop kit
shop = shop, store, pool shop, pool store, pool guy, pool place, pool company, dealer, retailer, they said, pool \
    man
dead = dead, not work, blank, doa, lifeless, no power, not power, no light, not turn on, not come on, not switch \
    on, nothing on, off completely, stop working, stopped working, quit working, gone dark, \
    went dark, nothing light up, pitch black, completely black, without power, unresponsive, power lost, kaput, \
    not boot, not light \
    up
restart = restart, reboot, reset itself, power cycle, switch itself off and on, cycle on and off, turn itself \
    off and on, keep resetting, resets itself
trip = trip, drop out, cut out, kick off, pop, kick out, blow, knocked out, jump out, go off, went off, gone off
breaker = breaker, circuit breaker, main switch in the panel
groundfault = ground fault, ground fault breaker, gfci, gfi, rcd, earth leakage, earth leakage switch, residual \
    current device, safety switch, test button outlet, leakage breaker, test button, ground fault interrupter, trip \
    switch, elcb
again = again, keep, repeatedly, over and over, constantly, all the time, every time, always, continually, every \
    week, every month, monthly, weekly, daily, every day, every few days, every other day, every couple of days, \
    twice a week, each week, each \
    day, week after week, day after day, straight away again, nonstop, won't stop
buzz = buzz, hum, buzzing, humming, chatter, click, clicking, drone
loud = loud, louder, noisy, noise
hot = hot, hotter, roasting, boiling, burning hot, \
    overheat, overheating, too warm, over temperature, high temperature, \
    too hot
burn = burnt, burn, burning, scorch, scorched, singed, charred, melted, melt, fried
smell = smell, stink, odor, odour, smelly, reek, whiff, stench
smoke = smoke, smoking, smoked
shock = electric shock, tingle, zap, tingling, electric feeling, buzz from the water, got shocked by, stray \
    voltage, little shock, small shock, got a shock, had a shock, felt a shock, felt shock, got shock
cable = cable, wire, lead, cord, wiring
plug = plug, connector, socket of the cell, terminal, pin, contact
outlet = outlet, socket, wall socket, receptacle, power point
corrode = corroded, corrosion, rusty, rust, rusted, verdigris, oxidised, oxidized
condense = condensation, moisture, damp, droplet, fogged
insect = ant, insect, bug, slug, wasp, gecko, spider, lizard, cockroach, earwig, snail, bee
sprinkler = sprinkler, irrigation, lawn watering
powercut = power cut, lost power, power came back, brownout, power outage, outage, blackout, power failure, \
    lost electricity, power went out, \
    electricity was off, power was out, lost power to the house, no electricity
storm = thunderstorm, lightning, lightning storm, lightning strike, power surge, thunder, surge, electrical \
    storm
clock = clock, time on the box, time of day, time on the display
wrong = wrong, incorrect, off by, not right, inaccurate, mistaken, out by
setting = setting, program, programme, schedule, configuration
lost = lose, lost, gone, disappear, disappeared, vanish, erased, wiped, forgot, missing, vanished
fewhours = few hours, couple of hours, two hours, three hours, four hours, five hours
many = lots of, a lot of, tons of, loads of, bunch of, ton of, heaps of, so much, so many
key = button, key, touch pad, touchpad, keypad, switch on the box
press = press, push a, push the, hit the button
leak = leak, leaking, drip, dripping, puddle, weep, seep, pour out, wet patch, leaky
crack = crack, rip, ripped, tear, cracked, split, broken, fractured, burst, broke, break, shattered, hairline
clog = clogged, blocked, jammed, plugged, crammed, packed, chock full, bunged up, stuffed, choked
leaf = leaf, leave, debris, foliage, pine needle, needles of pine, twig
scale = scale, chalk, scaled, calcium build up, calcium deposit, crust, crusty, white stuff, white build up, lime, \
    limescale, white deposit, calcified, caked, white crust, buildup, deposit, build up, encrusted, scaling, furred, \
    calcium buildup, white crusty stuff, white coating, mineral deposit
worn = worn, worn out, flaking, bare, coating coming off, coating is gone, peeling, coating flaking, flake off
bent = bent, warped, touching, touch each other, twisted, buckled
clean = clean, cleaned, wash, rinse, rinsed
backwash = backwash, backwashed, back wash
old = old, original, ancient, end of life, aged
expired = out of date, expired, past its date, past date, outdated, past their date, too old
green = green, greenish, pea soup, swamp, emerald
clear = clear, crystal clear, see through, sparkling, transparent
cloudy = cloudy, cloudiness, like milk, looks like milk, like skim milk, \
    hazy, milky, murky, foggy, dull, not clear, turbid, \
    cloud, haze, not transparent, misty water, \
    white water
brown = brown, rusty looking, tea, tea coloured, tan, brownish, looks like tea
foam = foam, bubble bath, sud, froth, foamy, frothy, lather, scummy bubble, foaming
slimy = slimy, slippery, slick, slime on
slime = slime, jelly, wet tissue paper, snot
algae = algae, alga
flake = white flake, white bit, flake, white speck, snow, chip of calcium, white particle, white chip
stain = stain, streak, mark, spot, blotch, discoloration, patch
sea = sea, ocean, seawater, sea water
rough = rough, pitted, feels like sandpaper, eaten away, etched, rough as sandpaper, crumbly, sandpapery
wrinkle = wrinkle, crease, fold, wrinkled
floating = floating, lifting, lifted, float, popped up, lift
bleached = bleached, faded, gone pale, lost colour, white patches, went pale, lost its colour
eye = eye, eyes
sting = sting, burn, itch, itchy, irritate, irritated, red, sore
skin = skin, arm
floor = bottom, floor, deep end, drain at the bottom, pool floor
see = see, make out, visible
zero = zero, nil, to nothing, no reading, 0, 0.0, zilch
gone = gone, used up, disappear, vanish, eaten up, drops off, burns off, burned off, disappears
overnight = overnight, by morning, at night, next morning, through the night, during the night
day = by afternoon, by lunch, by lunchtime, in the sun, during the day, by midday, in sunlight
shocked = shock, shocked, shock treatment, superchlorinate, super chlorinate, bleach, liquid chlorine, slug of \
    chlorine
add = add, put in, added, pour, dump, tip in, threw in, chuck in, put, throw in, poured, tossed in
acid = acid, muriatic acid, hydrochloric acid, ph down, ph minus, muriatic, dry acid, sodium bisulfate, sulfuric \
    acid
soda = soda ash, baking soda, ph up, ph plus, bicarb, bicarbonate, sodium bicarbonate, sodium carbonate, \
    alkalinity up
tablet = tablet, tab, puck, chlorine puck, chlorine tablet, trichlor
lately = lately, recently, just, yesterday, last week, last night, few days ago, other day, days ago, this week, \
    last month, last few days, on monday, on tuesday, on wednesday, on thursday, on friday, on saturday, on sunday, \
    this weekend
today = today, this morning, this afternoon, few hours ago, an hour ago, earlier today, just now
rain = rain, rained, downpour, flooded, rainfall, poured with rain, overflowed, raining, cats and \
    dogs
refill = refill, refilled, fill, top up, topped up, filled, added water, new water, fresh water, drained and \
    filled, drain
drop = drop, fall, go down, fell, lose, sink, went down, declining, decrease
rise = rise, climb, go up, creep up, drift up, keep going up, increase, went up, gone up, come up, creeping up, \
    climbing
jump = jump, bounce, swing, all over the place, up and down, fluctuate, erratic, unstable, vary, back and forth, \
    wander, jumpy
differ = differ, different, not match, disagree, not agree, something else, conflicting, inconsistent
gauge = gauge, pressure gauge, needle, manometer, filter gauge, dial on the filter
pressure = pressure, psi, filter pressure
red = red, red zone
stuck = stuck, stick, not budge, not move, seized, jam, never moves, stays at the same
valve = valve, bypass, diverter, multiport, handle, bypass valve
shut = shut, close, closed, turned shut
start = start, start up, startup, first come on, kick on, starts up, first comes on, kicks in, fires up
prime = prime, suction prime, lose its water, lost prime
suction = suction, pull, suck, draw, pulling
whirlpool = whirlpool, vortex, gulp, slurp, gulping
flap = flap, weir, weir door, weir gate, weir flap
oring = o ring, seal, gasket, rubber ring, lid seal
hums = hum, buzz
scream = scream, screech, whine, squeal, howl, shriek, high pitched, whining, squeak
gravel = gravel, rock, marble, stones in it, crackle, grinding, rattle, rattling
strange = strange, weird, funny, odd, different, unusual, not normal, awful, horrible, terrible
spin = spin, turn, rotate, go round, turn over
run = run, hum along, chug along, running, going, operate, work, working
off = off, turned off, switched off, shut off, unplugged, shut down
produce = produce, make chlorine, make any chlorine, generate, chlorinate, generating, producing, chlorinating, \
    making chlorine, production
standby = standby, stand by, waiting, sleep mode, idle, on hold, sleeping, asleep
output = output, percentage, chlorine setting, chlorine output, production setting
full = maxed, full, flat out, all the way up, max, maximum, turned up to the top, maxed out, hundred percent
boost = boost, super chlorinate mode, turbo, superchlor mode, extra chlorine mode
amp = amp, current, amperage, cell current
volt = volt, voltage, cell voltage
cold = cold, colder, freezing, freezing cold, chilly, icy
warm = warm, bath, like a bath, bath water
temperature = temperature, temp, water temperature, water temp
thermometer = thermometer
sensor = sensor, probe
flowswitch = flow switch, flow sensor, paddle switch
heater = heater, heat pump, gas heater, pool heater
install = install, installed, fitted, put in new, newly installed, had installed
new = new, brand new, newly
replaced = replace, replaced, replacement, swap, swapped, changed for, aftermarket, generic, different
holiday = holiday, vacation, been away, were away, was away, are away, trip away
party = party, many swimmer, lots of people, lots of kids, crowd, busy, guest
open = opened, opening, spring opening
frost = freeze, hard freeze, deep freeze, frost, froze, hard freeze, frozen pipe, ice
cover = cover, solar cover, solar blanket, blanket, bubble cover
sun = sun, sunshine, sunlight
water = water, pool water
pool = pool
deepend = deep end
wall = wall, step, side
waterline = waterline, tile line, water line, tile
ladder = ladder, rail, handrail, screw
coping = coping, limestone, sandstone, flagstone, stone, patio, coping stone, paver
spill = spill, spilled, spilt, knocked over, tipped over
mix = mix, mixed, combined together
choke = choking, sharp, biting, can't breathe, acrid, pungent, chlorine gas
gas = gas, propane
hurt = hurt, splashed in, injured, swallowed, breathed in, breathed it in, coughing badly, passed out, nearly \
    drowned, in the eye, in my eye, in his eye, in her eye, trouble breathing, breathing problem, splashed by
poop = poop, turd, threw up in the pool, poo, poo accident, faeces, feces, pooped, accident in the pool, diarrhoea, \
    diarrhea, threw up, \
    vomit, puked, vomited
animal = dead possum, dead snake, dead rabbit, dead toad, dead lizard, dead gopher, dead raccoon, dead cat, \
    dead frog, dead mouse, dead animal, dead bird, duck, bird mess, dead rat, dead squirrel, dead hedgehog, \
    bird poo, drowned animal
normal = normal, usual, supposed to
fine = fine, ok, okay, good, alright, all right, normal, great, perfect, healthy
level = level
well = well, bore, bore hole, borehole, private well
tap = tap, hose, mains, tap water, fill water, hose water
copper = copper
iron = iron
phosphate = phosphate
nitrate = nitrate
metal = metal
drain = main drain, drain
dust = dust, powder
yellow = yellow, mustard
black = black
pink = pink
purple = purple, violet
blue = blue, turquoise
white = white
grey = grey, gray
shade = shade, shady, shaded
corner = corner, same spot, same place
brush = brush, scrub
smallflow = fizz
timer = timer, time clock, time switch
speed = speed, rpm
slow = low speed, slow speed, eco mode, eco, low rpm, eco speed, quiet mode
fast = high speed, full speed, faster, speed up, turned up, turn up
vacuum = vacuum, vacuuming, hoover, vacuumed
offscale = off the scale, off the top, off the chart, off the charts, top of the scale, end of the scale
stop = stop, quit, cease
asking = is it normal, is this normal, is that normal, just wondering, just asking, just a question, just \
    curious, just want to know, only want to know, want to know if, just checking if
neighbour = neighbour, neighbor, friend, another, borrowed
electrician = electrician
fuse = fuse
lamp = plug lamp
creature = frog, newt, salamander, vole, mole, tadpole, hare, badger, crow, pigeon, \
     toad, mouse, mice, rat, squirrel, bird, snake, possum, hedgehog, rabbit, lizard, gopher, \
    chipmunk, raccoon, cat, kitten, duckling, bat, turtle, critter, rodent
dog = dog, mouse, rat, mower, chew, gnaw, mice, rodent
metalstick = pin
hose = hose, pipe
kink = kink, kinked, pinched, squashed, bent, collapsed
arrow = arrow
backward = backward, backwards, wrong way, against the flow, reverse, wrong direction
half = half
upside = upside down, wrong way up
month = month, weeks, few weeks
"""

# Words that carry no meaning of their own here.
_EMPTY = """
a an the my our your his her their its it is are was were am be been being this that these those there here i we you
he she they me us them of in at to for from by with as into onto do does did have has had having will would can
could should shall may get got getting gets go goes going went come comes coming came turn turned turning turns
become became really very quite so too pretty bit somewhat totally completely kind sort rather still now then
already also just which who whom whose what some any all both each other one ones thing things stuff something
somehow hi hello hey please thanks thank about around approximately roughly like seem seems seemed look looks looked
looking when where why how if than because since while during only even up down out let lets way lot lots again
keeps keep kept always right well actually basically though although however mine gotta gonna oh ok yes yeah yep
okay someone somebody anyone anybody everyone everybody day days time times anymore most much many little few
every make makes made making give gives gave found find noticed notice see seen saw guess bad badly real actual
front behind next near side on own
"""
DROPPED = frozenset(_EMPTY.split())

IRREGULAR = {
    "went": "go", "goes": "go", "going": "go", "coming": "com", "does": "do", "gone": "gone", "came": "com",
    "broke": "break", "broken": "break", "froze": "freeze", "frozen": "freeze", "ran": "run", "fell": "fall",
    "fallen": "fall", "lost": "lose", "got": "get", "kept": "keep", "burnt": "burn", "blew": "blow", "blown":
    "blow", "rose": "rise", "risen": "rise", "stuck": "stick", "spat": "spit", "sprung": "spring", "drew": "draw",
    "sank": "sink", "swam": "swim", "bent": "bend",
    "plugged": "plugged", "plugging": "plugged", "checked": "checked", "checking": "checked",
    "forced": "forced", "rated": "rated", "rating": "rated",
    "lowered": "lowered",
    "lowering": "lowered", "stung": "sting", "dug": "dig",
    "bled": "bleed", "held": "hold", "stank": "stink", "spun": "spin", "hung": "hang", "heard": "hear",
    "shook": "shake",
    "left": "leave", "leaves": "leaf", "mice": "mouse", "said":
    "say", "says": "say", "told": "tell", "smelt": "smell", "spilt": "spill", "threw": "throw", "thrown": "throw",
    "shown": "show", "ate": "eat", "eaten": "eat", "tore": "tear", "torn": "tear", "worn": "wear", "wore": "wear",
    "felt": "feel", "taken": "take", "took": "take", "us": "us", "gas": "gas", "bare": "bare", "biting": "biting",
    "always": "always", "normally": "normally", "usually": "usually", "cleaner": "cleaner", "this": "this",
    "is": "is", "was": "was", "chlorine": "chlorine", "has": "have", "less":
    "less", "glass": "glass", "heated": "heat", "thermometers": "thermometer",
}  # fmt: skip

# Spelled apart on two sides of an ocean, or shortened.
SPELLINGS = {
    "color": "colour", "colored": "coloured", "gray": "grey", "stabilizer": "stabiliser", "liter": "litre",
    "liters": "litres", "meter": "metre", "meters": "metres", "odor": "odour", "neighbor": "neighbour", "wont":
    "won't", "dont": "don't", "doesnt": "doesn't", "isnt": "isn't", "cant": "can't", "arent": "aren't", "hasnt":
    "hasn't", "havent": "haven't", "didnt": "didn't", "wasnt": "wasn't", "overnite": "overnight", "lite": "light",
    "nite": "night", "thru": "through", "tho": "though", "cuz": "because", "coz": "because", "bc": "because", "w/":
    "with", "w/o": "without", "pics": "pictures", "temp": "temperature", "chlor": "chlorine",
    "chlorinater": "chlorinator", "brkr": "breaker", "allways": "always", "loosing": "losing", "lightening":
    "lightning", "jibberish": "gibberish", "humms": "hums", "lites": "lights", "cust": "customer", "elec":
    "electrician", "sparky": "electrician", "pwr": "power", "strait": "straight", "couldnt": "couldn't",
    "wouldnt": "wouldn't", "werent": "weren't", "hadnt": "hadn't",
    "shouldnt": "shouldn't", "sys": "system", "wtr": "water", "btm": "bottom", "aint":
    "isn't", "ain't": "isn't", "till": "until", "clorine": "chlorine", "chorine": "chlorine", "vaccum":
    "vacuum", "vacume": "vacuum", "vaccuum": "vacuum",
}  # fmt: skip

# A number's or adjective's own noun: an adjective does not reach over one of these to another.
_MEASURED = """
salt chlorine stabiliser alkalinity hardness ph pressure temperature copper iron phosphate nitrate amp volt
"""
PARAMETERS = frozenset(_MEASURED.split())
