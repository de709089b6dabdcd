-- $1 owner, $2 now, $3 lease end, $4 limit
UPDATE outbox
SET attempts = attempts + 1, fence = fence + 1, lease_owner = $1, lease_until = $3
WHERE seq IN (
    SELECT head.seq
    FROM outbox AS head
    WHERE head.state = 'ready'
      AND head.run_at <= $2
      AND (head.lease_until IS NULL OR head.lease_until <= $2)
      AND NOT EXISTS (
          SELECT 1
          FROM outbox AS earlier
          WHERE earlier.state = 'ready'
            AND earlier.source = head.source
            AND earlier.room_key = head.room_key
            AND earlier.seq < head.seq
      )
    ORDER BY head.seq
    LIMIT $4
)
RETURNING seq, key, body, created_at, attempts, fence
