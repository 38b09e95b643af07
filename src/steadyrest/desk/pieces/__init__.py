"""The pieces of the rack: they come, are found, moved, counted, bought, lifted, kept or scrapped."""
