"""What words mean beside the calls that they make: the only code that reads what was said for more.

`reader` puts slips right and finds the signs of `grammar/meanings.toml` in a line; the modules beside it
make one kind of value each (`bot.trip.meant`). Pure; knows no trip and no time.
"""
