"""What is run by hand or by ``make``, and not shipped."""
