"""What the shop's own figures are, learned from what happened, and how sure the times of a plan are."""
