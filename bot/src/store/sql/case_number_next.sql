UPDATE counters SET value = value + 1 WHERE name = 'case-number' RETURNING value
