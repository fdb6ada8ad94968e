"""The offline page: its bundle, keys, links and API, and the plain page without script."""
