"""Whole sayings that turn a statement round, or hold a 'no' that does not. Data only; common practice, no source."""

__all__ = ["DENIALS", "IDIOMS", "IMPLIED"]

# Said like this, the symptoms named are NOT there: opposites that no 'not' announces.
DENIALS = {
    "can see the bottom": ("bottom-not-visible",),
    "see right to the bottom": ("bottom-not-visible",),
    "can see the drain": ("bottom-not-visible",),
    "breaker is fine": ("breaker-tripped",),
    "breaker looks ok": ("breaker-tripped",),
    "breaker is on": ("breaker-tripped",),
    "nobody has been in": ("many-bathers",),
    "nobody has been swimming": ("many-bathers",),
    "baskets are empty": ("basket-full",),
    "pressure is normal": ("filter-pressure-high", "filter-pressure-low"),
    "jets are normal": ("return-jets-weak",),
    "flow is good": ("return-jets-weak",),
    "unions are dry": ("leak-at-cell",),
    "water is clear": ("cloudy-white", "cloudy-green"),
    "pool is clear": ("cloudy-white", "cloudy-green"),
    "clear water": ("cloudy-white", "cloudy-green"),
    "crystal clear": ("cloudy-white", "cloudy-green"),
    "water looks fine": ("cloudy-white", "cloudy-green"),
    "water is fine": ("cloudy-white", "cloudy-green"),
    "jets are strong": ("return-jets-weak",),
    "strong jets": ("return-jets-weak",),
    "jets are fine": ("return-jets-weak",),
    "strong flow": ("return-jets-weak",),
    "flow is strong": ("return-jets-weak",),
    "flow is fine": ("return-jets-weak",),
    "pressure is fine": ("filter-pressure-high", "filter-pressure-low"),
    "gauge is fine": ("filter-pressure-high", "filter-pressure-low"),
    "pump runs fine": ("pump-dead",),
    "pump works fine": ("pump-dead",),
    "baskets are clean": ("basket-full",),
    "basket is empty": ("basket-full",),
    "plates are clean": ("plates-scaled",),
    "cell is clean": ("plates-scaled",),
    "cell looks clean": ("plates-scaled",),
    "ph is fine": ("ph-high", "ph-low"),
    "chlorine is fine": ("free-chlorine-low", "free-chlorine-high"),
    "alkalinity is fine": ("alkalinity-low", "alkalinity-high"),
    "stabiliser is fine": ("cyanuric-low", "cyanuric-high"),
    "salt tested fine": ("salt-below-band", "salt-above-band"),
}

# What a symptom says of another one in so many words.
IMPLIED = {"flow-warning-strong-flow": ("flow-warning",)}

# Cut out before anything else: they hold a 'no' or 'not' that denies nothing.
IDIOMS = (
    "no idea why", "not sure why", "do not know why", "no clue why", "no idea how", "no idea what is wrong",
    "can not figure out why", "do not understand why", "no matter what", "no matter", "not only", "not just",
    "no problem", "no wonder", "no doubt", "can not believe", "nothing else", "no worries", "why is not",
    "will not go off", "will not go away", "does not go away", "not gone away", "will not clear", "not going away",
    "how do i get rid of", "how do i fix", "how can i fix", "how to fix", "how to get rid of", "how do i stop",
    "how do i remove", "how do i clear", "how can i get rid of", "what should i do", "not able to", "not supposed to",
)  # fmt: skip
