"""Lines and arcs as arrays: paths, their measures, offsets, regions swept by a cutter."""
