"""The template engine: a workbook with tokens, filled once per card. It knows no word of the trade."""
