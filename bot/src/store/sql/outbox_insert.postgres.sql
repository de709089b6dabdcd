-- $1 JSON array of messages, each an array of key, source, room_key, purpose, case_id, person_id, body
-- and what is left of the body once it is out; $2 now. A message about a case is found by its lifter.
INSERT INTO outbox (key, source, room_key, purpose, case_id, person_id, body, created_at, run_at, after_body)
SELECT one ->> 0, one ->> 1, one ->> 2, one ->> 3, one ->> 4,
       COALESCE(one ->> 5, (SELECT person_id FROM cases WHERE id = one ->> 4)),
       one ->> 6, $2::BIGINT, $2::BIGINT, one ->> 7
FROM json_array_elements($1::TEXT::JSON) WITH ORDINALITY AS given (one, place)
ORDER BY place
ON CONFLICT (key) DO NOTHING
