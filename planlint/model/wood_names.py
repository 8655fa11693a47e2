"""What woods and panels are called: trade and botanical names, by the row of ``timber.py`` that they stand for.

One name sold for several species stands for the least dense of those commonly sold (the cautious figure), except where
the trade means one species outright. Which species a name covers is common practice, from memory.
"""

HARDWOODS_BY_NAME = """
    European oak = Quercus robur, Quercus petraea, English oak, French oak, common oak, pedunculate oak, sessile
    oak; European ash = Fraxinus excelsior, common ash; European sycamore = Acer pseudoplatanus, sycamore, sycamore
    maple, European maple; European lime = Tilia cordata, lime, linden, European linden; sweet chestnut = Castanea
    sativa, chestnut; wych elm; American elm = Ulmus americana, elm; European plane = London plane, plane; European
    birch = Betula pendula, silver birch; European cherry = Prunus avium; European walnut = Juglans regia, English
    walnut, French walnut, Persian walnut; pear = pearwood; apple = applewood; olive; holly; hornbeam = Carpinus
    betulus; robinia; sapele = Entandrophragma cylindricum, sapelli, sapeli, sapele mahogany; utile =
    Entandrophragma utile, sipo; iroko = Milicia excelsa, kambala; meranti = Shorea, lauan, luan, Philippine
    mahogany; keruing; wenge = Millettia laurentii; padauk; purpleheart; jatoba = Hymenaea courbaril, Brazilian
    cherry; ipe = Handroanthus; bubinga; zebrano = zebrawood; Indian rosewood = rosewood; Brazilian rosewood; ebony
    = Macassar ebony, Gaboon ebony, Ceylon ebony; lignum vitae; limba; okoume = gaboon; obeche = wawa, ayous;
    balsa; Spanish cedar = Cedrela odorata, cedro; rubberwood = Hevea brasiliensis, parawood, hevea; acacia;
    bamboo; eucalyptus; jarrah; tulipwood of Brazil; black ash = Fraxinus nigra; red elm = slippery elm; river
    birch; European alder = Alnus glutinosa, black alder, common alder; European aspen; white willow = Salix alba,
    willow; merbau; balau = bangkirai, yellow balau; cumaru = Brazilian teak; garapa; lacewood; bocote; cocobolo;
    koa; mesquite; Osage orange; sassafras; afrormosia; idigbo; tigerwood = goncalo alves; massaranduba; sweet
    birch = cherry birch, black birch; downy birch; Norway maple; field maple = hedge maple; grey alder; claro
    walnut; boxwood = European box, box; plum; rowan; dogwood; persimmon; tupelo = black gum, black tupelo;
    camphor = camphor laurel, camphorwood; magnolia = cucumber tree; catalpa; ailanthus; buckeye; horse
    chestnut; American chestnut = wormy chestnut; honey locust; Kentucky coffeetree; myrtlewood = Oregon myrtle,
    California laurel; madrone; tanoak; chinkapin = chinquapin; bur oak; pin oak; black oak; scarlet oak; live oak;
    swamp white oak; chestnut oak; willow oak; Japanese oak; Turkey oak; holm oak; cork oak; mockernut hickory;
    pignut hickory; bitternut hickory; rock elm; English elm; Dutch elm; cedar elm; green ash; Oregon ash; black
    willow; crack willow; balsam poplar; black poplar; white poplar; Lombardy poplar; bigtooth aspen; Australian
    blackwood = Tasmanian blackwood; African blackwood = grenadilla; Australian red cedar = Australian cedar;
    Queensland maple; silver ash; Tasmanian oak = Victorian ash, Australian oak; messmate; blackbutt; spotted gum;
    ironbark = red ironbark, grey ironbark; river red gum; tallowwood; brush box; karri; marri; ziricote; imbuia =
    imbuya; African walnut = dibetou; gedu nohor = tiama, edinam; makore; anigre = aniegre; movingui; mansonia;
    opepe; ekki = azobe, bongossi; greenheart; basralocus = angelique; kempas; nyatoh; ramin; sepetir; mersawa;
    kapur; rengas; sheesham = shisham, sissoo; Indian laurel; mango = mangowood; monkeypod = suar, rain tree;
    parota = guanacaste, huanacaste; peroba rosa; snakewood; kingwood; satinwood; primavera; marupa = simarouba;
    virola; cativo; jelutong; paulownia = kiri
"""
SOFTWOODS_BY_NAME = """
    Scots pine = Pinus sylvestris, Scotch pine, redwood pine, European redwood, red deal, yellow deal; Norway
    spruce = Picea abies, European whitewood, European spruce, white deal; silver fir = Abies alba; European larch
    = Larix decidua, larch; western larch = Larix occidentalis; Siberian larch = Larix sibirica; radiata pine =
    Pinus radiata, radiata, Monterey pine; maritime pine = Pinus pinaster; slash pine; shortleaf pine; red pine;
    yew = Taxus baccata, European yew; Port Orford cedar = Lawson cypress; yellow cedar = Alaska yellow cedar,
    Alaskan cedar; northern white cedar = Thuja occidentalis, white cedar; Atlantic white cedar; incense cedar;
    white spruce = Picea glauca, eastern spruce; red spruce; black spruce; balsam fir = Abies balsamea; grand fir;
    noble fir; eastern hemlock = Tsuga canadensis; tamarack = Larix laricina, hackmatack; cedar of Lebanon; Parana
    pine; hoop pine; juniper = western juniper, alligator juniper; kauri; rimu; Huon pine; celery-top pine; bunya
    pine; Japanese cedar = sugi; hinoki = Japanese cypress; Monterey cypress = macrocarpa; Leyland cypress;
    Caucasian fir = Nordmann fir; Chinese fir; Japanese larch; hybrid larch = Dunkeld larch; Swiss stone pine =
    Arolla pine; black pine = European black pine, Austrian pine, Corsican pine, Pinus nigra; jack pine; Virginia
    pine; pinyon pine; Jeffrey pine; bristlecone pine; Caribbean pine; Aleppo pine; totara; matai; kahikatea
"""
"""Woods that are known by name and kind alone, each with its other names behind `=`."""

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
    "quaking aspen": "Populus tremuloides, aspen, popple",
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
    "eastern white pine": "Pinus strobus, pine, white pine, EWP",
    "western white pine": "Pinus monticola",
    "sugar pine": "Pinus lambertiana",
    "ponderosa pine": "Pinus ponderosa, ponderosa, western yellow pine",
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
    "baldcypress": "Taxodium distichum, cypress, southern cypress",
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

SEVERAL_WOODS = {
    "Brazilian walnut": "ipe or imbuia", "African teak": "iroko or afrormosia", "ironwood": "ipe or hornbeam",
    "African rosewood": "bubinga or padauk", "mountain ash": "Tasmanian oak or rowan",
    "brown ash": "black ash or European ash",
    "red birch": "yellow birch or river birch", "blackwood": "Australian blackwood or African blackwood",
}  # fmt: skip
"""Names that are sold for one wood and for another: none is taken, and both are offered. Basis: from memory."""

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
    "vertical-grain", "sinker", "pecky",
    "edge-glued", "laminated", "reclaimed", "kiln-dried", "KD", "burr", "pippy",
)  # fmt: skip
"""Words before a wood that tell how it looks or is sorted, and nothing that is judged here."""
