"""What conversations have visited of the dialogues: screens, answers and ways with a condition."""
