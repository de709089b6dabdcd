-- $1 hash, $2 now. One use less; no row: unknown, used up or too late.
UPDATE data_links SET uses_left = uses_left - 1
WHERE token_hash = $1 AND expires_at > $2 AND uses_left > 0
RETURNING source, person_id
