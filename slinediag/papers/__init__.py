"""Papers for bench and rack: facility → drawings and tables, to be printed, cut, sent and kept."""
