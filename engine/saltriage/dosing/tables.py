"""Tables that a person expects, printed for his pool: salt by reading, hours a day by temperature and sun."""
