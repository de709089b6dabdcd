DELETE FROM data_links WHERE token_hash IN (
    SELECT token_hash FROM data_links WHERE expires_at < $1 LIMIT $2
)
