"""The kitchen page: server-rendered, on this machine, with nothing asked of any other."""
