-- $1 to $9 one array a column; returns the keys that were known already, usually none.
-- The lock makes groups of all instances commit one after another, so that the order of seq is the
-- order in which events become visible.
WITH turn AS MATERIALIZED (SELECT pg_advisory_xact_lock(7041776001) AS taken),
given AS MATERIALIZED (
    SELECT source, id, type, room_id, person_id, message_id, body, body_hash, received_at
    FROM turn
    CROSS JOIN UNNEST($1::TEXT[], $2::TEXT[], $3::TEXT[], $4::TEXT[], $5::TEXT[], $6::TEXT[], $7::TEXT[],
                      $8::TEXT[], $9::BIGINT[])
        AS one (source, id, type, room_id, person_id, message_id, body, body_hash, received_at)
),
new AS (
    INSERT INTO inbox (source, id, type, room_id, person_id, message_id, body, body_hash, received_at, run_at)
    SELECT source, id, type, room_id, person_id, message_id, body, body_hash, received_at, received_at
    FROM given
    ON CONFLICT (source, id) DO NOTHING
    RETURNING source, id
)
SELECT given.source, given.id
FROM given
LEFT JOIN new ON new.source = given.source AND new.id = given.id
WHERE new.id IS NULL
