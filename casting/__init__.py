"""The casting day: from weighed waxes to a day plan."""
