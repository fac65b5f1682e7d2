"""Which request and which trace work belongs to: ids for logs, spans, W3C Trace Context."""
