"""Maps: which demands hold where, over two answers of a site that are figures."""
