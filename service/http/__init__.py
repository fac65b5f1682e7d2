"""HTTP: the application, endpoints, problems, security and the OpenAPI document."""
