"""What woods and panels are called: trade and botanical names, by the row of ``timber.py`` that they stand for.

One name sold for several species stands for the least dense of those commonly sold (the cautious figure), except where
the trade means one species outright. Which species a name covers is common practice, from memory.
"""

HARDWOODS_BY_NAME = (
    "European oak", "European ash", "European sycamore", "European lime", "sweet chestnut", "wych elm",
    "American elm", "European plane", "European birch", "European cherry", "European walnut", "pear", "apple",
    "olive", "holly", "hornbeam", "robinia", "sapele", "utile", "iroko", "meranti", "keruing", "wenge",
    "padauk", "purpleheart", "jatoba", "ipe", "bubinga", "zebrano", "Indian rosewood", "Brazilian rosewood",
    "ebony", "lignum vitae", "limba", "okoume", "obeche", "balsa", "Spanish cedar", "rubberwood", "acacia",
    "bamboo", "eucalyptus", "jarrah", "tulipwood of Brazil", "black ash", "red elm", "river birch",
    "European alder", "European aspen", "white willow", "merbau", "balau", "cumaru", "garapa", "lacewood",
    "bocote", "cocobolo", "koa", "mesquite", "Osage orange", "sassafras", "afrormosia", "idigbo", "tigerwood",
    "massaranduba",
)  # fmt: skip
SOFTWOODS_BY_NAME = (
    "Scots pine", "Norway spruce", "silver fir", "European larch", "western larch", "Siberian larch",
    "radiata pine", "maritime pine", "slash pine", "shortleaf pine", "red pine", "yew", "Port Orford cedar",
    "yellow cedar", "northern white cedar", "Atlantic white cedar", "incense cedar", "white spruce",
    "red spruce", "black spruce", "balsam fir", "grand fir", "noble fir", "eastern hemlock", "tamarack",
    "cedar of Lebanon", "Parana pine", "hoop pine", "juniper", "kauri", "rimu",
)  # fmt: skip
"""Woods that are known by name and kind alone."""

OTHER_NAMES: dict[str, str] = {
    "red oak": "Quercus rubra, oak, northern red oak, American red oak",
    "white oak": "Quercus alba, American white oak",
    "sugar maple": "Acer saccharum, hard maple, rock maple",
    "red maple": "Acer rubrum, maple, soft maple",
    "black walnut": "Juglans nigra, walnut, American walnut, American black walnut",
    "black cherry": "Prunus serotina, cherry, American cherry, cherrywood",
    "shagbark hickory": "Carya ovata, hickory",
    "white ash": "Fraxinus americana, ash, American ash",
    "yellow birch": "Betula alleghaniensis, birch",
    "American beech": "Fagus grandifolia, beech",
    "yellow poplar": "Liriodendron tulipifera, poplar, tulipwood, tulip poplar",
    "red alder": "Alnus rubra, alder",
    "basswood": "Tilia americana, American basswood",
    "quaking aspen": "Populus tremuloides, aspen",
    "African mahogany": "Khaya, acajou, khaya, khaya mahogany",
    "Honduras mahogany": "Swietenia macrophylla, mahogany, true mahogany, genuine mahogany",
    "teak": "Tectona grandis",
    "European beech": "Fagus sylvatica",
    "silver maple": "Acer saccharinum",
    "bigleaf maple": "Acer macrophyllum",
    "pecan hickory": "Carya illinoinensis, pecan",
    "paper birch": "Betula papyrifera, white birch",
    "eastern cottonwood": "Populus deltoides, cottonwood",
    "butternut": "Juglans cinerea, white walnut",
    "hackberry": "Celtis occidentalis",
    "black locust": "Robinia pseudoacacia, false acacia, locust",
    "sweetgum": "Liquidambar styraciflua, gum, red gum",
    "American sycamore": "Platanus occidentalis",
    "European oak": "Quercus robur, Quercus petraea, English oak, French oak",
    "European ash": "Fraxinus excelsior, common ash",
    "European sycamore": "Acer pseudoplatanus, sycamore, sycamore maple, European maple",
    "European lime": "Tilia cordata, lime, linden, European linden",
    "sweet chestnut": "Castanea sativa, chestnut",
    "American elm": "Ulmus americana, elm",
    "European plane": "London plane, plane",
    "European birch": "Betula pendula",
    "European cherry": "Prunus avium",
    "European walnut": "Juglans regia",
    "pear": "pearwood",
    "apple": "applewood",
    "hornbeam": "Carpinus betulus",
    "sapele": "Entandrophragma cylindricum, sapelli, sapeli, sapele mahogany",
    "utile": "Entandrophragma utile, sipo",
    "iroko": "Milicia excelsa, kambala",
    "meranti": "Shorea, lauan, luan, Philippine mahogany",
    "wenge": "Millettia laurentii",
    "jatoba": "Hymenaea courbaril, Brazilian cherry",
    "ipe": "Handroanthus",
    "zebrano": "zebrawood",
    "Indian rosewood": "rosewood",
    "okoume": "gaboon",
    "obeche": "wawa, ayous",
    "Spanish cedar": "Cedrela odorata, cedro",
    "rubberwood": "Hevea brasiliensis, parawood, hevea",
    "black ash": "Fraxinus nigra",
    "white willow": "Salix alba, willow",
    "European alder": "Alnus glutinosa",
    "Scots pine": "Pinus sylvestris, Scotch pine, redwood pine, European redwood, red deal, yellow deal",
    "Norway spruce": "Picea abies, European whitewood, European spruce, white deal",
    "silver fir": "Abies alba",
    "European larch": "Larix decidua, larch",
    "western larch": "Larix occidentalis",
    "Siberian larch": "Larix sibirica",
    "radiata pine": "Pinus radiata, radiata, Monterey pine",
    "maritime pine": "Pinus pinaster",
    "yew": "Taxus baccata, European yew",
    "yellow cedar": "Alaska yellow cedar, Alaskan cedar",
    "northern white cedar": "Thuja occidentalis, white cedar",
    "white spruce": "Picea glauca, eastern spruce",
    "balsam fir": "Abies balsamea",
    "eastern hemlock": "Tsuga canadensis",
    "tamarack": "Larix laricina, hackmatack",
    "eastern white pine": "Pinus strobus, pine, white pine, EWP",
    "western white pine": "Pinus monticola",
    "sugar pine": "Pinus lambertiana",
    "ponderosa pine": "Pinus ponderosa, ponderosa",
    "lodgepole pine": "Pinus contorta, lodgepole, beetle-kill pine",
    "loblolly pine": "Pinus taeda, loblolly, SYP, yellow pine, southern pine, southern yellow pine",
    "longleaf pine": "Pinus palustris, heart pine, pitch pine",
    "Douglas-fir": "Pseudotsuga menziesii, doug fir, Oregon pine, Columbian pine, coast Douglas-fir",
    "western hemlock": "Tsuga heterophylla, hemlock",
    "white fir": "Abies concolor, fir, hem-fir",
    "Engelmann spruce": "Picea engelmannii, spruce, spruce-pine-fir, SPF, CLS, whitewood",
    "Sitka spruce": "Picea sitchensis, sitka",
    "western redcedar": "Thuja plicata, cedar, red cedar, western cedar, WRC",
    "eastern redcedar": "Juniperus virginiana, aromatic cedar, aromatic red cedar",
    "young-growth redwood": "Sequoia sempervirens, redwood",
    "baldcypress": "Taxodium distichum, cypress",
    "softwood plywood": (
        "plywood, CDX, ACX, BCX, pine plywood, fir plywood, Douglas-fir plywood, sanded plywood, marine plywood, "
        "MDO, MDO plywood, HDO, HDO plywood, blockboard, laminboard, lumber-core plywood"
    ),
    "hardwood plywood": (
        "birch plywood, Baltic birch, Baltic birch plywood, oak plywood, red oak plywood, "
        "white oak plywood, maple plywood, walnut plywood, cherry plywood, poplar plywood"
    ),
    "oriented strandboard": "OSB, OSB3, strandboard",
    "medium-density fibreboard": "MDF, medium-density fiberboard, fibreboard, fiberboard",
    "particleboard": "chipboard",
    "melamine-faced particleboard": "melamine, melamine particleboard, melamine board, MFC",
}

PANEL_WORDS = {
    "plywood": "hardwood plywood",
    "ply": "hardwood plywood",
    "mdf": "medium-density fibreboard",
    "hdf": "hardboard",
    "fibreboard": "medium-density fibreboard",
    "fiberboard": "medium-density fibreboard",
    "particleboard": "particleboard",
    "chipboard": "particleboard",
    "osb": "oriented strandboard",
    "strandboard": "oriented strandboard",
    "hardboard": "hardboard",
    "melamine": "melamine-faced particleboard",
}
"""The last word of a panel that is told by its face or its grade, such as ``A2 cherry plywood``, and its row."""

SOFTWOOD_PLYWOOD = frozenset(
    {"cdx", "acx", "bcx", "c-d", "a-c", "b-c", "b-b", "c-c", "sheathing", "underlayment", "structural"}
)
"""Words before `plywood` that softwood plywood is sold by: the grades of its face and back (PS 1), and its uses. Basis:
from memory."""

GRADES = (
    r"CDX|ACX|BCX|[A-D](?:-?[1-4A-D]){0,2}|(?:BB|[BS])/(?:BB|CP|WG|B|S)|CP/CP|FAS|F1F|[Nn]o\. ?[1-4](?: [Cc]ommon)?|"
    r"[Cc]lear|[Ss]elect(?: [Ss]tructural)?|[Cc]onstruction|(?:[Cc]abinet|[Ss]hop|[Pp]aint|[Mm]arine)(?=[- ][Gg])"
)
"""What a grade before a wood looks like: of panels by face and back (HPVA HP-1, PS 1, and makers of birch plywood), of
boards by the NHLA's and the softwood trade's names. Basis: from memory."""

FIGURED = (
    "curly", "tiger", "bird's-eye", "quilted", "figured", "flamed", "spalted", "knotty", "steamed",
    "vertical-grain",
    "edge-glued", "laminated", "reclaimed", "kiln-dried", "KD", "burr", "pippy",
)  # fmt: skip
"""Words before a wood that tell how it looks or is sorted, and nothing that is judged here."""
