"""Who calls the worksheet functions: Excel and LibreOffice Calc. Each is a loop over the registry."""
