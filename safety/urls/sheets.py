from django.urls import URLPattern, path

from safety.views import sheets

urlpatterns: list[URLPattern] = [
    path("sheets/", sheets.sheets, name="sheets"),
    path("sheets/<int:number>/", sheets.sheet, name="sheet"),
    path("sheets/<int:number>.pdf", sheets.sheet_file, name="sheet-file"),
    path("sheets/<int:number>/cover/", sheets.cover_lot, name="cover-lot"),
    path("materials/<int:pk>/", sheets.binder_material, name="binder-material"),
    path("materials/<int:pk>/file/", sheets.file_sheet, name="file-sheet"),
    path("materials/<int:pk>/table/", sheets.use_table, name="use-table"),
    path("materials/<int:pk>/first-aid.pdf", sheets.first_aid, name="first-aid"),
    path("binder.pdf", sheets.binder_pdf, name="binder-pdf"),
]
