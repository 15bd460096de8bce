"""The only ids of rules that stand in Python: what physics and forms of a case are written for, and nothing else.

Everything else that the program knows of a reading, symptom, cause or action it reads in the rules. `rules check` holds
this list against the rules, and every other module of a checkout against this list.
"""

from enum import StrEnum

__all__ = ["CHEMICALS", "Occasion"]

# Tested, shown or set: inputs of the water, the cell, the forecast and the dose calculators.
AMMONIA = "ammonia"
BATHERS_PER_DAY = "bathers-per-day"
BORATE = "borate"
BUCKET_LOSS_PER_DAY = "bucket-loss-per-day"
CALCIUM_HARDNESS = "calcium-hardness"
CELL_AGE = "cell-age"
CELL_CURRENT = "cell-current"
CELL_CURRENT_REVERSED = "cell-current-reversed"
CELL_VOLTAGE = "cell-voltage"
CLEAN_FILTER_PRESSURE = "clean-filter-pressure"
COLD_LIMIT = "cold-limit"
CYANURIC_ACID = "cyanuric-acid"
CYANURIC_ACID_EARLIER = "cyanuric-acid-earlier"
DISSOLVED_SOLIDS = "dissolved-solids"
FILL_CALCIUM_HARDNESS = "fill-calcium-hardness"
FILL_SALT = "fill-salt"
FILTER_PRESSURE = "filter-pressure"
FLOW_RATE = "flow-rate"
FREE_CHLORINE = "free-chlorine"
FREE_CHLORINE_AT_RETURN = "free-chlorine-at-return"
FREE_CHLORINE_DAWN = "free-chlorine-dawn"
FREE_CHLORINE_DAY_END = "free-chlorine-day-end"
FREE_CHLORINE_DAY_START = "free-chlorine-day-start"
FREE_CHLORINE_DUSK = "free-chlorine-dusk"
FREE_CHLORINE_SECOND_TEST = "free-chlorine-second-test"
HOURS_PER_DAY = "hours-per-day"
OUTPUT_SETTING = "output-setting"
PH = "ph"
PH_EARLIER = "ph-earlier"
PH_SECOND_TEST = "ph-second-test"
POOL_LOSS_PER_DAY = "pool-loss-per-day"
POOL_VOLUME = "pool-volume"
RATED_CURRENT = "rated-current"
RATED_OUTPUT = "rated-output"
RATED_SUPPLY_VOLTAGE = "rated-supply-voltage"
RATED_VOLTAGE = "rated-voltage"
SALT = "salt"
SALT_BAG = "salt-bag"
SALT_BAND_HIGH = "salt-band-high"
SALT_BAND_LOW = "salt-band-low"
SALT_EARLIER = "salt-earlier"
SALT_RISE_EXPECTED = "salt-rise-expected"
SALT_SECOND_TEST = "salt-second-test"
SALT_SHOWN = "salt-shown"
SALT_SHOWN_EARLIER = "salt-shown-earlier"
SUPPLY_VOLTAGE = "supply-voltage"
TOTAL_ALKALINITY = "total-alkalinity"
TOTAL_CHLORINE = "total-chlorine"
WATER_TEMPERATURE = "water-temperature"
WATER_TEMPERATURE_SHOWN = "water-temperature-shown"

# Computed; each has the name of its calculator.
ACTIVE_CHLORINE = "active-chlorine"
CARBONATE_ALKALINITY = "carbonate-alkalinity"
CHLORINE_CAPACITY_PER_DAY = "chlorine-capacity-per-day"
CHLORINE_LOSS_BY_DAY = "chlorine-loss-by-day"
CHLORINE_LOSS_OVERNIGHT = "chlorine-loss-overnight"
CHLORINE_MADE_PER_DAY = "chlorine-made-per-day"
CHLORINE_RISE_AT_RETURN = "chlorine-rise-at-return"
CHLORINE_TESTS_DIFFERENCE = "chlorine-tests-difference"
COMBINED_CHLORINE = "combined-chlorine"
CURRENT_POLARITY_DIFFERENCE = "current-polarity-difference"
CURRENT_SHARE = "current-share"
CYANURIC_DROP = "cyanuric-drop"
DISSOLVED_SOLIDS_UNEXPLAINED = "dissolved-solids-unexplained"
FILTER_PRESSURE_RISE = "filter-pressure-rise"
FREE_CHLORINE_SHARE_OF_CYANURIC = "free-chlorine-share-of-cyanuric"
HANDBOOK_INDEX = "handbook-index"
LEAK_PER_DAY = "leak-per-day"
PH_CLIMB = "ph-climb"
PH_TESTS_DIFFERENCE = "ph-tests-difference"
SALT_DROP = "salt-drop"
SALT_RISE_SHARE = "salt-rise-share"
SALT_SHOWN_MINUS_SALT = "salt-shown-minus-salt"
SALT_SHOWN_RISE_SHARE = "salt-shown-rise-share"
SALT_TESTS_DIFFERENCE = "salt-tests-difference"
SATURATION_INDEX = "saturation-index"
SUPPLY_VOLTAGE_SHARE = "supply-voltage-share"
TEMPERATURE_SHOWN_MINUS_MEASURED = "temperature-shown-minus-measured"
TURNOVER_HOURS = "turnover-hours"
VOLTAGE_SHARE = "voltage-share"

CHEMICALS: tuple[str, ...] = (
    "salt", "chlorine", "acid", "bicarbonate", "soda-ash", "cyanuric-acid", "calcium-chloride", "reducer", "borate",
    "other",
)  # fmt: skip
"""What an action may add and a case may have at hand."""


class Occasion(StrEnum):
    """What a plan is for, as on the command line."""

    start_up = "start-up"
    opening = "opening"
    closing = "closing"
    care = "care"
    after_power_cut = "after-power-cut"
    cell_cleaning = "cell-cleaning"
