"""The order of passes: the instance, the one evaluator, the search, and what it proves."""
