SELECT run_at FROM chores WHERE name = 'clean'
