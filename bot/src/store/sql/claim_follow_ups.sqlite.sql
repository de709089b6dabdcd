-- $1 owner, $2 now, $3 lease end, $4 limit
UPDATE follow_ups
SET attempts = attempts + 1, fence = fence + 1, lease_owner = $1, lease_until = $3
WHERE id IN (
    SELECT due.id
    FROM follow_ups AS due
    WHERE due.state = 'open'
      AND due.run_at <= $2
      AND (due.lease_until IS NULL OR due.lease_until <= $2)
    ORDER BY due.run_at, due.id
    LIMIT $4
)
RETURNING id, case_id, source, person_id, kind, due_at, sent, created_at, attempts, fence
