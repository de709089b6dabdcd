-- $1 to $9 one array a column. The lock makes groups of all instances commit one after another,
-- so that the order of seq is the order in which events become visible.
WITH turn AS MATERIALIZED (SELECT pg_advisory_xact_lock(7041776001) AS taken)
INSERT INTO inbox (source, id, type, room_id, person_id, message_id, body, body_hash, received_at, run_at)
SELECT new.source, new.id, new.type, new.room_id, new.person_id, new.message_id, new.body, new.body_hash,
       new.received_at, new.received_at
FROM turn
CROSS JOIN UNNEST($1::TEXT[], $2::TEXT[], $3::TEXT[], $4::TEXT[], $5::TEXT[], $6::TEXT[], $7::TEXT[],
                  $8::TEXT[], $9::BIGINT[])
    AS new (source, id, type, room_id, person_id, message_id, body, body_hash, received_at)
ON CONFLICT (source, id) DO NOTHING
RETURNING source, id
