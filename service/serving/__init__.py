"""The server process: workers, deadlines on sockets, memory and shared figures."""
