"""Common English words. Data only."""

__all__ = ["PLAIN_ENGLISH"]

# Common words that are never taken for a misspelt one of the trade.
_COMMON = """
able above across act after age ago agree aid air allow almost alone along also among amount angle angry animal
answer appear area arm art aside bad bag ball band bar base bat bath bay bean bear beat bed been beer began begin
bell belt best better between big bill bird bit bite blood boat body bone book boot born both bottle bowl boy brain
bread bridge bright bring brother build bus business busy buy cake call calm camp can cap car card care carry case
cat catch cause chair chance change charge cheap check cheese child city class coat code coffee coin come common
contact cook cool copy corn cost couple course cow cross cry cup cut dad dance dare date daughter deal dear debt
decide deep degree desk die dinner dirt dish dog doll door down draw dream dress drink drive dry duck dust duty each
ear early earth east easy edge egg else end enjoy enter evening ever every exact extra face fact fair fall family
far farm fast fat father fear feed feel few field fight fill find fine finger finish fire first fish fit fix fly
food foot force fork form found free fresh friend fruit full fun game garden gate gave gift girl give glad glass
goat gold good grass great ground group grow guess guest guide guy hair half hall hand happen happy hard hat hate
have head hear heart heat heavy help her high hill hold hole home hope horse hospital hot hour house huge human
hurry husband idea inside iron issue item job join joke juice jump keep key kid kind king kitchen knee know lady
lake lamp land large last late laugh law lawn lazy lead learn least leg lesson letter lie life lift like line lip
list listen live load lock long look loss loud love luck lunch machine mad mail main man map march mark market
matter maybe meal mean meat meet men mile milk mind minute mirror miss moment money monday month moon more morning
most mother mouth move movie mud mum music must nail name nature near neat neck need nest net new news next nice
night noise noon nose note nothing notice often oil once open orange order other our own page pain paint pair pan
paper parent park part party pass past path pay peace pen pencil people person phone photo pick picture piece pig
pink place plan plant plate play please point polite poor post pot price print prize problem proof prove public
purple put queen question quick quiet quite race radio rain reach read ready real reason red rent repair reply rest
rice rich ride ring river road rock roll roof room rope round rule sad safe sail same sample save saw school sea
season seat second see seed sell send sentence serve seven shade shape share sharp sheep sheet shelf ship shirt shoe
short shot should shoulder shout side sign silver simple sing sister sit size skin sky sleep slip small smart smile
snow soap sock soft soil some son song soon sorry sort sound soup south space speak spend spoon spring square stage
stair stand star stay step stick still stone store story street strong student such sudden summer sun sunday supper
sure sweet swim table tail take talk tall taste tea teach team tear tell ten tennis tent than thank that thick thin
think third throat through ticket tie tiger till tin tiny tired title toe together told tomorrow tongue tonight tool
tooth top touch tower town toy train tree trip trouble true truth try twelve twenty two type uncle under until use
usual van very video view village visit voice wait wake walk wall want war warm wash waste watch weak wear weather
week weekend weight west wet wheel where white whole wide wife wild win wind window wine wing winter wise wish woman
wonder wood word work world worry worse worst would write yard year yellow yes yesterday young zoo hose rose bail
pole poll pull sale shell spell smell stall steal steel mats malt halt sauna plaster tested measured weeks
"""
PLAIN_ENGLISH = frozenset(_COMMON.split())
