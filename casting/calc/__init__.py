"""The trade's arithmetic and every decision, pure: values in, values out.

Units, everywhere in this package: grams, millilitres, millimetres, degrees Celsius,
and whole minutes counted from the day's first pour (earlier is negative). Pure ratios
carry no unit in their names. Nothing here knows Django, a clock, a time zone or a file.
"""
