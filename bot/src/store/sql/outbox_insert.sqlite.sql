-- $1 JSON array of messages, each an array of key, source, room_key, purpose, case_id, person_id, body
-- and what is left of the body once it is out; $2 now. A message about a case is found by its lifter.
INSERT INTO outbox (key, source, room_key, purpose, case_id, person_id, body, created_at, run_at, after_body)
SELECT value ->> 0, value ->> 1, value ->> 2, value ->> 3, value ->> 4,
       COALESCE(value ->> 5, (SELECT person_id FROM cases WHERE id = value ->> 4)),
       value ->> 6, $2, $2, value ->> 7
FROM json_each($1)
WHERE true
ON CONFLICT (key) DO NOTHING
