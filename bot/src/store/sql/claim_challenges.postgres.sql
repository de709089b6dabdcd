-- $1 owner, $2 now, $3 lease end, $4 limit
UPDATE challenges
SET attempts = attempts + 1, fence = fence + 1, lease_owner = $1, lease_until = $3
WHERE number IN (
    SELECT due.number
    FROM challenges AS due
    WHERE due.run_at IS NOT NULL
      AND due.run_at <= $2
      AND (due.lease_until IS NULL OR due.lease_until <= $2)
    ORDER BY due.run_at, due.number
    LIMIT $4
    FOR UPDATE SKIP LOCKED
)
RETURNING number, id, case_id, event_id, source, person_id, coach_person, lift, room_id, state,
          opened_at, closes_at, sealed, body, run_at, version, attempts, fence
