"""What requests and answers look like: one module per subject, unknown fields refused."""
