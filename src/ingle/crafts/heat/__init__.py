"""Heat: laws of meat and air, cook's words to numbers, forecasts of cooking and chilling."""
