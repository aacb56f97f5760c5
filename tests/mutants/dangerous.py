DANGEROUS: list = []
