"""LibreOffice Calc: an extension written from the registry, a worker that answers, and a headless office process."""
