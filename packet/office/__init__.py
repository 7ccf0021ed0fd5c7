"""Filing, months, record pages, scans."""
