"""Pictures for viewing, never for cutting: loads on their bed, shapes with their sizes."""
