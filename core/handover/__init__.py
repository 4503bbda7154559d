"""Handing over: the NC program, its reader and its proof, toolpaths as DXF."""
