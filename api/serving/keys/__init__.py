"""Access keys: the keys file, the commands that edit it, and the layer that checks requests."""
