-- As intake, and tells which rows are new.
-- $1 JSON array of rows, each an array in the order of the columns
INSERT INTO inbox (source, id, type, room_id, person_id, message_id, body, body_hash, received_at, run_at)
SELECT
    value ->> 0, value ->> 1, value ->> 2, value ->> 3, value ->> 4, value ->> 5,
    value -> 6, value ->> 7, value ->> 8, value ->> 8
FROM json_each($1)
WHERE true
ON CONFLICT (source, id) DO NOTHING
RETURNING source, id
