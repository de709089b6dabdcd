UPDATE sessions SET seen_at = $2 WHERE hash = $1 AND seen_at < $2
