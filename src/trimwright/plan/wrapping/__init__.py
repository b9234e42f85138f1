"""A wheel wrap as it is asked for and told: typed measures read, and what comes of them in words and figures."""
