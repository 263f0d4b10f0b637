"""The windows: the scheduler's desk. The only room that knows Qt."""
