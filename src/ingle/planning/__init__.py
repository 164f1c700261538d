"""Planning: what to buy, when to do it. Dates exist from here upward."""
