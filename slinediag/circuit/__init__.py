"""The contacts of jacks and what they join: the ground truth under every answer."""
