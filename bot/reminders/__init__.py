"""What is said unasked: what somebody asked to be reminded of, and what the settings want said. Pure."""
