"""The invented shop and the worn part that `steadyrest demo` works on.

shop.toml is the shop, story.py the rush job from scan to papers, scan.py makes the scan of the stage lift's shaft (and
of any other true part), scanning/ is how. Not here: the use cases themselves (desk).
"""
