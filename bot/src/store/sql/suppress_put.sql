INSERT INTO suppressed (id, erased_at) VALUES ($1, $2)
ON CONFLICT (id) DO UPDATE SET
    erased_at = CASE WHEN excluded.erased_at > suppressed.erased_at THEN excluded.erased_at ELSE suppressed.erased_at END
