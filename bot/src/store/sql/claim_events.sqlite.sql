-- $1 owner, $2 now, $3 lease end, $4 limit
UPDATE inbox
SET attempts = attempts + 1, fence = fence + 1, lease_owner = $1, lease_until = $3
WHERE seq IN (
    SELECT head.seq
    FROM inbox AS head
    WHERE head.state = 'waiting'
      AND head.run_at <= $2
      AND (head.lease_until IS NULL OR head.lease_until <= $2)
      AND NOT EXISTS (
          SELECT 1
          FROM inbox AS earlier
          WHERE earlier.state = 'waiting'
            AND earlier.source = head.source
            AND earlier.room_id = head.room_id
            AND earlier.seq < head.seq
      )
    ORDER BY head.seq
    LIMIT $4
)
RETURNING seq, source, id, body, received_at, attempts, fence
