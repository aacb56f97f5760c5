"""The wrench book: wrenches with their tables and links, gauges, lubricants, hand tools."""
