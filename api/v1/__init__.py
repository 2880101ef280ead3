"""Version 1: one file a topic, its request and response models and its thin routes."""
