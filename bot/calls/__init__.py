"""Words to calls: the grammar, its matching, the repair of misheard words, and how sure it all is."""
