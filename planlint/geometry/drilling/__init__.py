"""Pockets and screws: where each row lies, what bars its places, how a driver reaches it."""
