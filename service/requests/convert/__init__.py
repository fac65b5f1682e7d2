"""From a request's words to the model's values, every fault of a request found at once.

The schemas of ``service.requests.schemas`` have checked types and names; here lengths are read,
sizes become outlines and names become cutters.
"""
