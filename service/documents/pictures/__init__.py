"""Pictures for people: loads on their bed, shapes with their sizes. Never cut from."""
