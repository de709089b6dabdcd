SELECT value FROM counters WHERE name = 'case-number'
