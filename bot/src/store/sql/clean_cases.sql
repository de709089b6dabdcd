DELETE FROM cases WHERE id IN (
    SELECT id FROM cases
    WHERE updated_at < $1 AND state IN ('mended', 'lapsed', 'withdrawn') LIMIT $2
)
