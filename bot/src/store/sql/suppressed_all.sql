SELECT id, erased_at FROM suppressed WHERE id > $1 ORDER BY id LIMIT $2
