"""From conclusions and the survey to the answer: verdicts in words, groups, observations, sizes, and its JSON."""
