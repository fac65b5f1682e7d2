"""Which sheets, rolls and leftovers of a stock an order is cut from."""
