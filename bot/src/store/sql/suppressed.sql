SELECT id, erased_at FROM suppressed WHERE id = $1
