-- $1 the lease or date as last written, $2 the next one. No row: somebody else has taken over.
UPDATE chores SET run_at = $2 WHERE name = 'clean' AND run_at = $1
