"""What the schemas of requests and answers are made of: fields, errors, and how they are loaded."""
