"""ingle: planner, chemist and record for a cook who makes every part of a dish."""
