-- $1 now, $2 until when it is leased
UPDATE chores SET run_at = $2 WHERE name = 'clean' AND run_at <= $1
