"""The server of the page: addresses, checks of requests, jobs, workers."""
