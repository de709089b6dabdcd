UPDATE counters SET value = value + 1 WHERE name = 'challenge-number' RETURNING value
