"""The wrench book: wrenches with their certificates, gauges, links, products."""
